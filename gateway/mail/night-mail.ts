/** The mail of the night: sent at its hour, once, told where it was not; it looks by itself and nothing waits for it. */
import {
  mailFirstLookMs,
  mailLateMsMax,
  mailLookEveryMs,
  mailRefusedTriesMax,
  mailRetryMsMax,
  mailRetryMsMin,
  mailStopMsMax,
  type MailTold,
  mailTryMsMax,
  nightHoursDefault,
  type NewEntry,
} from '../../shared/contract/index.ts'
import type { DurationMs } from '../../shared/time.ts'
import { oneLine } from '../../shared/words/index.ts'
import type { Fate } from '../store/store.ts'
import { type ComposeParts, composed } from './compose.ts'
import { type MailHours, type NightDue, nextDueAt, nightsDue, stillTo } from './due.ts'
import { MailLedger } from './ledger.ts'
import { type Post, PostFailure, type Posted } from './post.ts'
import { type MailPlan, serverName } from './settings.ts'

export interface NightMailParts extends ComposeParts {
  plan: MailPlan
  post: Pick<Post, 'send'>
  /** False where our clock cannot be believed: then nobody can say which night it is. */
  knowsTime: () => boolean
  record: (entries: NewEntry[]) => Promise<Fate[]>
  tell: (sentence: string, isTrouble: boolean) => void
}

const noTime = 'The gateway does not know the time, and a mail has its hour; set its clock.'
const sentenceFor = (error: unknown): string => (error instanceof Error ? error.message : String(error))

/** The night that is being tried. */
interface Trying {
  due: NightDue
  tries: number
  /** On the steady clock. */
  notBefore: DurationMs
}

export class NightMail {
  readonly #parts: NightMailParts
  readonly #ledger: MailLedger
  #trying: Trying | null = null
  #trouble: string | null = null
  /** Why not even could be looked whether one is due. */
  #stuck: string | null = null
  #callOff: () => void = () => {}
  #turn: Promise<void> = Promise.resolve()
  #giveUp: AbortController | null = null
  #ended = false

  constructor(parts: NightMailParts) {
    this.#parts = parts
    this.#ledger = new MailLedger(parts)
  }

  begin(): void {
    this.#next(mailFirstLookMs)
  }

  #next(delay: DurationMs): void {
    if (this.#ended) return
    this.#callOff = this.#parts.clock.after(delay, () => {
      this.#turn = this.#look()
        .catch((error: unknown) => this.#cannotLook(error))
        .finally(() => this.#next(mailLookEveryMs))
    })
  }

  async #look(): Promise<void> {
    const { clock, knowsTime } = this.#parts
    if (!knowsTime()) return
    await this.#ledger.begin(clock.now())
    await this.#ledger.save()
    this.#stuck = null
    await this.#letGoOld()
    const due = this.#dueNow()
    if (due === null) {
      this.#trying = null
      return
    }
    if (this.#trying?.due.date !== due.date) this.#trying = { due, tries: 0, notBefore: clock.elapsed() }
    if (clock.elapsed() >= this.#trying.notBefore) await this.#try(this.#trying)
  }

  #hours(): MailHours {
    const { site } = this.#parts.foundry()
    return { timeZone: site.timeZone, night: site.night ?? nightHoursDefault, at: this.#parts.plan.at }
  }

  /** The oldest night whose hour came while this was on and that somebody still waits for. */
  #dueNow(): NightDue | null {
    const { clock, plan } = this.#parts
    const since = this.#ledger.onSince ?? Infinity
    const open = nightsDue(this.#hours(), clock.now()).filter(
      ({ date, dueAt }) => dueAt >= since && stillTo(plan.to, this.#ledger.of(date)).length > 0,
    )
    return open[0] ?? null
  }

  /** A night that could not be mailed for a whole day is given up, and the journal says so. */
  async #letGoOld(): Promise<void> {
    const { clock, plan, tell } = this.#parts
    if (this.#trying === null || clock.now() < this.#trying.due.dueAt + mailLateMsMax) return
    const { date } = this.#trying.due
    const left = stillTo(plan.to, this.#ledger.of(date))
    this.#trying = null
    if (left.length === 0) return
    await this.#write(date, { taken: [], waiting: [], refused: left })
    tell(`The mail of the night that began on ${date} is given up: it could not be sent for a day.`, true)
  }

  async #try(trying: Trying): Promise<void> {
    const { clock, plan, post, foundry } = this.#parts
    const { date } = trying.due
    trying.tries++
    trying.notBefore = Infinity
    this.#giveUp = new AbortController()
    const tooLong = clock.after(mailTryMsMax * Math.max(1, clock.pace), () => this.#giveUp?.abort())
    try {
      const message = await composed(trying.due, this.#parts)
      const posted = await post.send({
        message,
        senderName: oneLine(`Cirewatch, ${foundry().site.name}`),
        at: clock.now(),
        messageId: this.#ledger.messageIdOf(date, plan.from),
        to: stillTo(plan.to, this.#ledger.of(date)),
        signal: this.#giveUp.signal,
      })
      await this.#posted(trying, posted)
    } catch (error) {
      if (!this.#ended) this.#failed(error)
    } finally {
      tooLong()
      this.#giveUp = null
    }
  }

  async #posted(trying: Trying, { taken, refused }: Posted): Promise<void> {
    const { plan, tell } = this.#parts
    const { date } = trying.due
    const isLastTry = trying.tries >= mailRefusedTriesMax
    const lost = refused.filter((one) => one.isLasting && isLastTry).map(({ address }) => address)
    const gone = new Set([...taken, ...lost])
    const waiting = stillTo(plan.to, this.#ledger.of(date)).filter((one) => !gone.has(one))
    if (gone.size > 0) await this.#write(date, { taken, waiting, refused: lost })
    if (taken.length > 0)
      tell(`The mail of the night that began on ${date} was taken for ${taken.length} of ${plan.to.length}.`, false)
    if (refused.length > 0) this.#told(refused.map(({ sentence }) => sentence).join(' '))
    else this.#trouble = null
    if (waiting.length === 0) this.#trying = null
    else
      this.#waitAfter(
        trying,
        refused.every(({ isLasting }) => isLasting),
      )
  }

  async #write(night: string, now: { taken: string[]; waiting: string[]; refused: string[] }): Promise<void> {
    const before = this.#ledger.of(night)
    await this.#ledger.write({
      kind: 'mailed',
      at: this.#parts.clock.now(),
      night,
      messageId: this.#ledger.messageIdOf(night, this.#parts.plan.from),
      taken: [...(before?.taken ?? []), ...now.taken],
      waiting: now.waiting,
      refused: [...(before?.refused ?? []), ...now.refused],
    })
  }

  #cannotLook(error: unknown): void {
    const sentence = sentenceFor(error)
    if (sentence !== this.#stuck) this.#parts.tell(`The mail of the night waits. ${sentence}`, true)
    this.#stuck = sentence
  }

  #failed(error: unknown): void {
    const isLasting = error instanceof PostFailure && error.isLasting
    this.#told(sentenceFor(error))
    if (this.#trying) this.#waitAfter(this.#trying, isLasting)
  }

  #told(sentence: string): void {
    // A server that is down for hours is told once.
    if (sentence !== this.#trouble) this.#parts.tell(`The mail of the night did not go to everybody. ${sentence}`, true)
    this.#trouble = sentence
  }

  #waitAfter(trying: Trying, isLasting: boolean): void {
    const pause = isLasting ? mailRetryMsMax : Math.min(mailRetryMsMin * 2 ** (trying.tries - 1), mailRetryMsMax)
    trying.notBefore = this.#parts.clock.elapsed() + pause
  }

  told(): MailTold {
    const { clock, plan, knowsTime } = this.#parts
    const isKnown = knowsTime()
    const wait = this.#trying === null ? Infinity : this.#trying.notBefore - clock.elapsed()
    return {
      server: serverName(plan.server),
      at: plan.at,
      recipients: plan.to.length,
      nextAt: isKnown ? nextDueAt(this.#hours(), clock.now()) : null,
      held: isKnown ? null : noTime,
      last: this.#ledger.last,
      trouble: this.#stuck ?? this.#trouble,
      againAt: Number.isFinite(wait) ? clock.now() + Math.max(0, wait) : null,
    }
  }

  /** Resolves when what was begun is done. */
  settled(): Promise<void> {
    return this.#turn
  }

  /** A mail that is on its way is given some seconds, so that its answer is heard and it is not sent again. */
  async end(): Promise<void> {
    this.#ended = true
    this.#callOff()
    const { clock } = this.#parts
    const hard = clock.after(mailStopMsMax * Math.max(1, clock.pace), () => this.#giveUp?.abort())
    await this.#turn
    hard()
  }
}
