import type { Metadata } from 'next'
import { ActionForm } from '@/app/parts/action-form'
import { DataTable } from '@/app/parts/data-table'
import { Field } from '@/app/parts/field'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Row, Stack } from '@/app/parts/row'
import { Section } from '@/app/parts/section'
import { SubmitButton } from '@/app/parts/submit-button'
import { WhatHappened } from '@/app/what-happened'
import { inkColours } from '@/lib/artwork/store'
import { historyOf } from '@/lib/server/history'
import { mayDo } from '@/lib/server/rights'
import { requirePerson } from '@/lib/server/session'
import { shop } from '@/lib/shop/store'
import { formatDay, instantOf } from '@/lib/units/time'
import styles from '../artdesk.module.css'
import { keepInkAction, retireInkAction } from './actions'

export const metadata: Metadata = { title: 'Inks' }

/** The shop's spot inks: what films are named by. */
export default async function Inks() {
  const person = await requirePerson('artwork.see')
  const [facts, inks, past] = await Promise.all([shop(), inkColours(), historyOf('ink', null, 30)])
  const mayChange = mayDo(person, 'artwork.change')
  return (
    <RoomPage narrow>
      <PageHead
        title="Inks"
        back={{ href: '/artdesk', label: 'Art desk' }}
        sense="The spot inks of this shop. A colour of the art that looks like one of them is printed with it, and its film carries the name."
      />
      <Stack gap="large">
        <DataTable
          caption="Spot inks"
          quietCaption
          rows={inks}
          rowKey={i => i.id}
          empty="No ink is named yet: films then carry a number and the colour of the art."
          columns={[
            {
              key: 'name',
              head: 'Ink',
              rowHead: true,
              cell: ink => (
                <span className={styles.colour}>
                  <span className={styles.swatch} style={{ background: ink.hex }} /> {ink.name}
                </span>
              ),
            },
            { key: 'hex', head: 'Colour', cell: ink => ink.hex },
            {
              key: 'who',
              head: 'Named by',
              wrap: true,
              cell: ink => `${ink.byName}, ${formatDay(instantOf(ink.at), facts.timeZone)}`,
            },
            ...(mayChange
              ? [
                  {
                    key: 'off',
                    head: 'Off the list',
                    cell: (ink: (typeof inks)[number]) => (
                      <ActionForm action={retireInkAction} label={`Take ${ink.name} off the list`}>
                        <input type="hidden" name="ink" value={ink.id} />
                        <SubmitButton look="quiet">Take off</SubmitButton>
                      </ActionForm>
                    ),
                  },
                ]
              : []),
          ]}
        />
        {mayChange && (
          <Section title="Name an ink">
            <ActionForm action={keepInkAction} label="Name an ink" clear>
              <Row>
                <Field name="name" label="Name" maxLength={40} hint="As it stands on its pot." />
                <Field
                  name="hex"
                  label="Colour"
                  size={8}
                  placeholder="#1a2b3c"
                  hint="Of a cured print, measured or from the maker’s chart."
                />
              </Row>
              <SubmitButton>Put it on the list</SubmitButton>
            </ActionForm>
          </Section>
        )}
        {past.length > 0 && <WhatHappened about="the inks" lines={past} facts={facts} who={person} />}
      </Stack>
    </RoomPage>
  )
}
