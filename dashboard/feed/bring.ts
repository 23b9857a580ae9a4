/** Sends a logger's table to the gateway: its beginning to be looked at, the whole of it to be tried or kept. */
import type { BringAnswer, BringLook, BringPlan, BringResult, Problem } from '../../shared/contract/index.ts'
import { Refusal } from './api.ts'

/** The gateway looks at no more than this. */
const lookBytes = 256 * 1024

const query = (words: Record<string, string>) => new URLSearchParams(words).toString()

export async function lookAt(
  file: File,
  said: { plan?: BringPlan; encoding?: string; delimiter?: string } = {},
): Promise<BringLook> {
  const { plan, ...forced } = said
  const words = { file: file.name, ...forced, ...(plan ? { plan: JSON.stringify(plan) } : {}) }
  const answer = await fetch(`/api/v1/imports/look?${query(words)}`, {
    method: 'POST',
    cache: 'no-store',
    headers: { 'content-type': 'application/octet-stream' },
    body: file.slice(0, lookBytes),
    signal: AbortSignal.timeout(20_000),
  }).catch(() => {
    throw new Refusal('no-answer', 'The gateway does not answer. Nothing was changed.')
  })
  const body: unknown = await answer.json().catch(() => ({}))
  if (answer.ok) return body as BringLook
  throw refusalOf(body as Partial<Problem>, answer.status)
}

function refusalOf(problem: Partial<Problem>, status: number): Refusal {
  const sentence = problem.errors?.[0]?.sentence ?? problem.detail ?? problem.title
  return new Refusal(problem.code ?? String(status), sentence ?? `The gateway answered with ${status}.`)
}

export interface Sending {
  result: Promise<BringResult>
  /** Ends it early: what is kept by then stays. */
  callOff(): void
}

/** By XMLHttpRequest: it alone says how much of a file has left. The gateway reads only as fast as it keeps. */
export function send(
  file: File,
  ask: { plan: BringPlan; store: boolean; by?: string },
  progress: (share: number) => void,
): Sending {
  const request = new XMLHttpRequest()
  const words = { file: file.name, plan: JSON.stringify(ask.plan), ...(ask.store && ask.by ? { by: ask.by } : {}) }
  const result = new Promise<BringResult>((resolve, reject) => {
    request.open('POST', `/api/v1/imports${ask.store ? '' : '/dry'}?${query(words)}`)
    request.setRequestHeader('content-type', 'application/octet-stream')
    request.upload.onprogress = ({ loaded, total }) => progress(total > 0 ? loaded / total : 0)
    request.onabort = () =>
      reject(
        new Refusal('called-off', 'Called off. What was kept by then stays; the same file again adds only the rest.'),
      )
    request.onerror = () =>
      reject(
        new Refusal(
          'no-answer',
          'The line to the gateway was cut. What was kept by then stays; the same file again adds only the rest.',
        ),
      )
    request.onload = () => {
      const last = lastLine(request.responseText)
      if (request.status === 200 && last?.is === 'result') resolve(last)
      else if (last?.is === 'fault') reject(new Refusal(last.code, last.detail))
      else reject(refusalOf((last ?? {}) as Partial<Problem>, request.status))
    }
    request.send(file)
  })
  return { result, callOff: () => request.abort() }
}

function lastLine(text: string): BringAnswer | null {
  try {
    return JSON.parse(text.trimEnd().split('\n').at(-1) ?? '') as BringAnswer
  } catch {
    return null
  }
}
