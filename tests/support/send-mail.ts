// Sends one mail as the shop does, in a process of its own: whom Node trusts is settled when it starts.
import { sendMail } from '@/lib/server/mail'

const [server, mail] = process.argv.slice(2).map(one => JSON.parse(one)) as Parameters<typeof sendMail>
console.log(JSON.stringify(await sendMail(server, mail)))
