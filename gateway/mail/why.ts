/** Why a mail did not go, as one sentence that says what, where and what to do. No sentence holds the password. */
import { oneLine } from '../../shared/words/index.ts'
import { type MailPlan, serverName } from './settings.ts'

/** What of an error of the mail library is looked at. */
export interface MailError {
  message: string
  code?: string | undefined
  command?: string | undefined
  response?: string | undefined
  responseCode?: number | undefined
}

/** Letters of a server's answer that are told. */
const answerLettersMax = 160

/** What the server said, without what it may have been told in confidence. */
export function answerOf(text: string, who: MailPlan['who']): string {
  const secrets = who === null ? [] : secretsOf(who)
  const told = secrets.reduce((all, secret) => all.replaceAll(secret, '…'), text)
  return oneLine(told).slice(0, answerLettersMax)
}

/** The password as it is written, and as it travels. */
function secretsOf({ name, password }: { name: string; password: string }): string[] {
  const base64 = (text: string) => Buffer.from(text, 'utf8').toString('base64')
  return [base64(`\0${name}\0${password}`), base64(password), password]
}

/** An answer of the server, or a setting of ours, that will be the same in a minute. */
export function isLasting({ code, responseCode }: MailError): boolean {
  return (
    code === 'EAUTH' || code === 'ENOAUTH' || code === 'ETLS' || (responseCode !== undefined && responseCode >= 500)
  )
}

export function whyNot(error: MailError, { server, who, from }: Pick<MailPlan, 'server' | 'who' | 'from'>): string {
  const place = `The mail server ${serverName(server)}`
  const said = error.response ? ` (it said: ${answerOf(error.response, who)})` : ''
  if (/certificate|altname|unable to verify/i.test(error.message))
    return `${place} shows a certificate that cannot be believed (${answerOf(error.message, who)}); name it as its certificate does, or give Node the authority that signed it in NODE_EXTRA_CA_CERTS.`
  switch (error.code) {
    case 'EAUTH':
    case 'ENOAUTH':
      return `${place} did not accept the name and password${said}; check mailName and mailPassword.`
    case 'ETLS':
      return `${place} offers no encryption${said}, and mail leaves this machine only encrypted; use a server with STARTTLS or an address smtps://, or a relay on this machine.`
    case 'EDNS':
      return `${place} is not known by that name; check the setting mail and the network of this machine.`
    case 'ETIMEDOUT':
    case 'EABORT':
      return `${place} did not answer in time; check its port and the network of this machine.`
    case 'ECONNECTION':
    case 'ESOCKET':
      return `${place} cannot be reached, or hung up (${answerOf(error.message, who)}); check that it runs and that its port is right.`
    case 'EENVELOPE':
    case 'EMESSAGE':
      return error.command === 'MAIL FROM'
        ? `${place} does not let us send as ${from}${said}; check mailFrom.`
        : `${place} did not take the mail${said}.`
    default:
      return `${place} could not be used (${answerOf(error.message, who)}).`
  }
}
