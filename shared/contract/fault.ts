/** Every fault a request can meet: a stable code, its HTTP status and its sentence. Codes are never reused. */

export const faults = {
  'not-found': { status: 404, title: 'There is no such thing here.' },
  'bad-request': { status: 400, title: 'The request could not be read.' },
  'not-valid': { status: 422, title: 'The document is not valid; nothing was changed.' },
  'used-revision': { status: 409, title: 'A recipe revision that a run has used never changes; write a new revision.' },
  'other-revision': { status: 412, title: 'Somebody else has changed the foundry meanwhile; read it again.' },
  'run-closed': { status: 409, title: 'This run is closed; a closed run is never reopened.' },
  'nothing-to-undo': { status: 409, title: 'This run has no step to take back.' },
  'name-taken': { status: 409, title: 'This name is taken.' },
  'alarm-normal': { status: 409, title: 'This alarm has nothing to acknowledge.' },
  'token-needed': { status: 401, title: 'This gateway is reachable from the network and asks for its token.' },
  'foreign-origin': { status: 403, title: 'The page that asks was not served by this gateway.' },
  'too-large': { status: 413, title: 'The request is larger than this gateway reads.' },
  'too-many': { status: 429, title: 'Too many requests in a minute; wait a little.' },
  'not-on-disk': { status: 503, title: 'The disk does not take it; nothing was changed. See /readyz.' },
  'no-backups': {
    status: 409,
    title: 'No folder for backups is set; start the gateway with --backups DIR, on another disk if there is one.',
  },
  damaged: {
    status: 500,
    title:
      'A part of what is stored is damaged; `npm run cirewatch -- verify` says what, and a backup may have it whole.',
  },
  internal: { status: 500, title: 'Something went wrong inside the gateway; its log says what.' },
} as const

export type FaultCode = keyof typeof faults

/** A fault that may be told to the one who asked. */
export class Fault extends Error {
  readonly code: FaultCode
  readonly detail: string | undefined
  readonly complaints: { path: string; sentence: string }[] | undefined

  constructor(code: FaultCode, detail?: string, complaints?: { path: string; sentence: string }[]) {
    super(detail ?? faults[code].title)
    this.name = 'Fault'
    this.code = code
    this.detail = detail
    this.complaints = complaints
  }
}
