import type { Metadata } from 'next'
import { ActionForm } from '@/app/parts/action-form'
import { Choices } from '@/app/parts/choices'
import { Field } from '@/app/parts/field'
import { Notice } from '@/app/parts/notice'
import { PageHead } from '@/app/parts/page-head'
import { RoomPage } from '@/app/parts/room-page'
import { Row } from '@/app/parts/row'
import { Section } from '@/app/parts/section'
import { SubmitButton } from '@/app/parts/submit-button'
import { WhatHappened } from '@/app/what-happened'
import { historyOf } from '@/lib/server/history'
import { type MailServer, mailServer, type Security } from '@/lib/server/mail'
import { requirePerson } from '@/lib/server/session'
import { PAPER_WORDS, PAPERS } from '@/lib/shop/paper'
import { shop } from '@/lib/shop/store'
import { OfficeNav } from '../office-nav'
import { changeShopAction, dropMailServerAction, mailServerAction, testMailAction } from './actions'

export const metadata: Metadata = { title: 'Shop' }

const SECURITY_WORDS: Record<Security, { label: string; note: string }> = {
  tls: { label: 'from the first word', note: 'TLS, usually port 465.' },
  starttls: { label: 'after greeting', note: 'STARTTLS, usually port 587.' },
  none: {
    label: 'not at all',
    note: 'Only for a mail server on this very machine or network: anybody on the way can read along.',
  },
}

/** Settings that stand under the shop itself in the history. */
const SETTINGS = ['1', 'shop', 'mail', 'invoicing', 'accounts', 'backups', 'valuation']

/** What the shop is called, what its offers are laid out for, and how its mails go out. */
export default async function ShopPage() {
  const who = await requirePerson('shop.change')
  const [facts, server, past] = await Promise.all([shop(), mailServer(), historyOf('shop', SETTINGS, 50)])
  return (
    <RoomPage>
      <OfficeNav current="/office/shop" />
      <PageHead
        title="Shop"
        sense="Offers that were made keep the name and measures that they were made with."
      />
      <Section title="Name and paper">
        <ActionForm action={changeShopAction} label="Name and paper">
          <input type="hidden" name="version" value={facts.version} />
          <Field name="name" label="What the shop is called" value={facts.name} maxLength={80} />
          <Row>
            <Choices
              name="paper"
              label="Offers are printed on"
              across
              value={facts.paper}
              options={PAPERS.map(value => ({ value, label: PAPER_WORDS[value] }))}
            />
            <Choices
              name="measures"
              label="Measures are shown in"
              across
              value={facts.measures}
              options={[
                { value: 'metric', label: 'cm and °C' },
                { value: 'imperial', label: 'inches and °F' },
              ]}
            />
          </Row>
          <Field
            name="publicAddress"
            label="Address that customers reach"
            value={facts.publicAddress}
            required={false}
            maxLength={200}
            placeholder="https://print.example.com"
            hint="Stands in the offers that you send. Empty: the address under which you opened the page."
          />
          <SubmitButton>Save</SubmitButton>
        </ActionForm>
      </Section>
      <Section title="Mail server" id="mail">
        {server?.password === null && (
          <Notice kind="caution" title="The password must be typed again.">
            It was kept for another computer, and this one cannot read it.
          </Notice>
        )}
        {!server && (
          <p>
            None is set: offers are ready to copy. With one, they go out from here with their PDF. Your mail
            provider tells you these values.
          </p>
        )}
        <MailForm server={server} />
      </Section>
      {server && (
        <Section title="See that it works">
          <ActionForm action={testMailAction} label="Send a mail to yourself">
            <Field
              name="to"
              label="Your own address"
              inputMode="email"
              autoComplete="email"
              maxLength={200}
            />
            <SubmitButton look="plain">Send a mail there</SubmitButton>
          </ActionForm>
          <ActionForm action={dropMailServerAction} label="Take the mail server away">
            <SubmitButton look="danger">Take the mail server away</SubmitButton>
          </ActionForm>
        </Section>
      )}
      <WhatHappened about="the shop’s settings" lines={past} facts={facts} who={who} />
    </RoomPage>
  )
}

function MailForm({ server }: { server: MailServer | null }) {
  return (
    <ActionForm action={mailServerAction} label="Mail server">
      <input type="hidden" name="version" value={server?.version ?? 0} />
      <Row align="top">
        <Field
          name="host"
          label="Server"
          value={server?.host}
          placeholder="smtp.example.com"
          autoComplete="off"
          maxLength={200}
        />
        <Field name="port" label="Port" value={server?.port ?? 465} size={8} inputMode="numeric" />
      </Row>
      <Choices
        name="security"
        label="The line is secured"
        value={server?.security ?? 'tls'}
        options={(['tls', 'starttls', 'none'] as const).map(value => ({ value, ...SECURITY_WORDS[value] }))}
      />
      <Row align="top">
        <Field
          name="user"
          label="User name"
          value={server?.user}
          required={false}
          autoComplete="off"
          maxLength={200}
        />
        <Field
          name="password"
          label="Password"
          type="password"
          required={false}
          autoComplete="new-password"
          maxLength={500}
          hint={server ? 'Empty keeps the one that is set.' : undefined}
        />
      </Row>
      <Field
        name="from"
        label="Mails come from"
        value={server?.from}
        inputMode="email"
        placeholder="shop@example.com"
        autoComplete="off"
        maxLength={200}
      />
      <SubmitButton>Save the mail server</SubmitButton>
    </ActionForm>
  )
}
