import type { Metadata } from 'next'
import { ActionForm } from '@/app/parts/action-form'
import { Choices } from '@/app/parts/choices'
import { DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Section } from '@/app/parts/section'
import { StateMark } from '@/app/parts/state-mark'
import { SubmitButton } from '@/app/parts/submit-button'
import { EVERY, EVERY_WORDS, type Stays } from '@/lib/server/backup-plan'
import { type Backups, backups, type KeptBackup } from '@/lib/server/backups'
import { isDemo } from '@/lib/server/demo'
import { requirePerson } from '@/lib/server/session'
import { formatMoment, instantOf } from '@/lib/units/time'
import styles from '../office.module.css'
import { OfficeNav } from '../office-nav'
import { bytes } from '../show'
import { backUpAction, backupPlanAction, checkBackupAction } from './actions'

export const metadata: Metadata = { title: 'Backups' }

const STAYS_WORDS: Record<Stays, string> = {
  'last day': 'last 24 hours',
  day: 'day',
  week: 'week',
  month: 'month',
}

/** When the shop is backed up and where to, what is there, and whether it is whole. */
export default async function BackupsPage() {
  await requirePerson('shop.change')
  if (isDemo())
    return (
      <RoomPage>
        <OfficeNav current="/office/backups" />
        <PageHead
          title="Backups"
          sense="The demo shop is drawn afresh whenever you like: it is not backed up."
        />
        <Notice>
          Your own shop is backed up once a day from its first day on. Its plan is changed here.
        </Notice>
      </RoomPage>
    )
  const now = instantOf(new Date())
  const all = await backups(now)
  const { plan, zone, list } = all
  return (
    <RoomPage>
      <OfficeNav current="/office/backups" />
      <PageHead title="Backups" sense={senseOf(all, now)} />
      <ActionForm action={backUpAction} label="Back up now">
        <SubmitButton>Back up now</SubmitButton>
      </ActionForm>
      <div className={styles.notices}>
        {all.last && !all.last.ok && (
          <Notice kind="stop" title="The last backup was not made.">
            {formatMoment(instantOf(new Date(all.last.at)), zone)}: {all.last.message}
          </Notice>
        )}
        {list.length > 0 && all.sameDisk && (
          <Notice kind="caution" title="On the same disk.">
            The backups lie on the disk that holds the shop. When that disk is lost, both are: choose a folder
            on another disk, or copy this one elsewhere.
          </Notice>
        )}
        {all.computer === 'none' && (
          <Notice>
            The computer’s own setting SHIRTWRIGHT_BACKUPS says “none”: backups are made by hand alone.
          </Notice>
        )}
        {all.computer === 'folder' && (
          <Notice>
            The computer’s own setting SHIRTWRIGHT_BACKUPS names the folder {all.folder}: it goes before the
            one below.
          </Notice>
        )}
      </div>
      <Section title="What there is">
        <DataTable
          caption={`Backups in ${all.folder}`}
          rows={list}
          rowKey={b => b.name}
          empty="No backup has been made yet."
          columns={[
            { key: 'made', head: 'Made', rowHead: true, cell: b => formatMoment(b.made, zone) },
            {
              key: 'stays',
              head: 'Stays as the last of its',
              cell: b => b.stays.map(s => STAYS_WORDS[s]).join(', ') || 'goes with the next one',
            },
            {
              key: 'bytes',
              head: 'Database',
              numeric: true,
              cell: b => (b.bytes === null ? '–' : bytes(b.bytes)),
            },
            { key: 'files', head: 'Files', numeric: true, cell: b => b.files ?? '–' },
            { key: 'whole', head: 'Whole?', wrap: true, cell: b => <Whole backup={b} zone={zone} /> },
            {
              key: 'check',
              head: 'Look again',
              cell: b => (
                <ActionForm action={checkBackupAction.bind(null, b.name)} label={`Check ${b.name}`}>
                  <SubmitButton
                    look="plain"
                    size="small"
                    aria-label={`Check the backup of ${formatMoment(b.made, zone)}`}
                  >
                    Check
                  </SubmitButton>
                </ActionForm>
              ),
            },
          ]}
        />
        <p className={styles.after}>
          Every backup holds the database and all artwork files. It is checked as it is made: brought back
          into a scratch place, and every table’s rows and checksum compared.
          {all.free !== null && ` ${bytes(all.free)} are free there.`}
        </p>
      </Section>
      <Section title="When, where, what stays">
        <ActionForm key={JSON.stringify(plan)} action={backupPlanAction} label="Plan of the backups">
          <input type="hidden" name="basedOn" value={JSON.stringify(plan)} />
          <Choices
            name="every"
            label="Back up"
            across
            value={plan.every}
            options={EVERY.map(value => ({ value, label: EVERY_WORDS[value] }))}
          />
          <div className={styles.fields}>
            <Field
              name="from"
              type="time"
              label="Once a day, from"
              value={plan.from}
              hint="If the computer is off then: as soon as it runs."
              required
            />
            <Field
              name="folder"
              label="Folder"
              value={plan.folder}
              required={false}
              maxLength={1000}
              placeholder={all.computer === 'folder' ? undefined : all.folder}
              hint="Best on another disk, or one that goes home with somebody."
            />
          </div>
          <div className={styles.fields}>
            <Field
              name="days"
              label="Keep one a day for"
              unit="days"
              size={9}
              inputMode="numeric"
              value={plan.keep.days}
              required
            />
            <Field
              name="weeks"
              label="one a week for"
              unit="weeks"
              size={9}
              inputMode="numeric"
              value={plan.keep.weeks}
              required
            />
            <Field
              name="months"
              label="one a month for"
              unit="months"
              size={9}
              inputMode="numeric"
              value={plan.keep.months}
              required
            />
          </div>
          <SubmitButton look="plain">Save</SubmitButton>
        </ActionForm>
      </Section>
      <Section title="Bringing one back">
        <p>
          On the shop’s computer: stop Shirtwright, then type the line below. The backup is checked first, and
          a broken one changes nothing. The shop of before is kept beside it.
        </p>
        <pre className={styles.command}>npm run restore -- {quoted(list[0]?.path ?? `${all.folder}/…`)}</pre>
      </Section>
    </RoomPage>
  )
}

/** A path as a command line takes it. */
const quoted = (path: string): string => (/^[\w./:\\-]+$/.test(path) ? path : `"${path}"`)

function senseOf({ list, next, zone }: Backups, now: number): string {
  const last = list[0] ? `The last one: ${formatMoment(list[0].made, zone)}.` : 'There is none yet.'
  if (next === null) return `${last} The next is made when you make it.`
  return `${last} The next: ${next <= now ? 'within minutes' : formatMoment(next, zone)}.`
}

function Whole({ backup: { check, bytes: kept }, zone }: { backup: KeptBackup; zone: string }) {
  if (kept === null) return <StateMark state="late">no: it does not say what it holds</StateMark>
  if (!check) return <StateMark state="done">yes, when it was made</StateMark>
  const when = formatMoment(instantOf(new Date(check.at)), zone)
  return check.ok ? (
    <StateMark state="done">yes, {when}</StateMark>
  ) : (
    <>
      <StateMark state="late">no, {when}</StateMark> {check.message}
    </>
  )
}
