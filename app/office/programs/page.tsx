import type { Metadata } from 'next'
import Link from 'next/link'
import { ActionForm } from '@/app/parts/action-form'
import { DataTable } from '@/app/parts/data-table'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { apiKeys, SCOPE_WORDS, SCOPES } from '@/lib/server/api-keys'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { formatMoment, instantOf } from '@/lib/units/time'
import { OfficeNav } from '../office-nav'
import { endKeyAction, makeKeyAction } from './actions'
import { KeyForm } from './key-form'

export const metadata: Metadata = { title: 'Programs' }

/** The keys with which programs outside send orders in. */
export default async function Programs() {
  await requirePerson('shop.change')
  const [keys, { timeZone }] = await Promise.all([apiKeys(), shop()])
  const when = (date: Date | null) => (date ? formatMoment(instantOf(date), timeZone) : 'never')
  return (
    <RoomPage>
      <OfficeNav current="/office/programs" />
      <PageHead
        title="Programs"
        sense="A web shop or another program sends orders in with a key of its own. Each order becomes an enquiry at the counter."
        more={<Link href="/programs">What to tell whoever writes the program</Link>}
      />
      <Section title="Keys">
        <DataTable
          caption="Keys, those in use first"
          quietCaption
          rows={keys}
          rowKey={k => k.id}
          empty="No program has a key."
          columns={[
            { key: 'name', head: 'Program', rowHead: true, wrap: true, cell: k => k.name },
            { key: 'hint', head: 'Begins with', cell: k => <code>{k.hint}…</code>, spare: true },
            { key: 'may', head: 'May', wrap: true, cell: k => k.scopes.map(s => SCOPE_WORDS[s]).join(', ') },
            { key: 'orders', head: 'Orders', numeric: true, cell: k => k.orders },
            {
              key: 'made',
              head: 'Made',
              wrap: true,
              cell: k => `${formatMoment(instantOf(k.createdAt), timeZone)}, ${k.byName}`,
            },
            { key: 'used', head: 'Last used', cell: k => when(k.lastUsedAt) },
            {
              key: 'end',
              head: 'End it',
              cell: k =>
                k.endedAt ? (
                  <StateMark state="withdrawn">
                    ended {when(k.endedAt)}, {k.endedBy}
                  </StateMark>
                ) : (
                  <ActionForm action={endKeyAction.bind(null, k.id)} label={`End the key ${k.name}`}>
                    <SubmitButton size="small" look="plain" aria-label={`End the key ${k.name}`}>
                      End
                    </SubmitButton>
                  </ActionForm>
                ),
            },
          ]}
        />
      </Section>
      <Section title="Make a key">
        <KeyForm
          action={makeKeyAction}
          scopes={SCOPES.map(value => ({ value, label: SCOPE_WORDS[value] }))}
        />
      </Section>
    </RoomPage>
  )
}
