/** `test-mail`: sends a mail to everybody who would get the review of the night, and says what the server said. */
import { mailTryMsMax } from '../../shared/contract/index.ts'
import { count, nightAuthorisesNothing } from '../../shared/words/index.ts'
import { siteClock } from '../clock.ts'
import { messageOf } from '../mail/message.ts'
import { Post, PostFailure } from '../mail/post.ts'
import { type MailPlan, mailPlanOf, serverName } from '../mail/settings.ts'
import { readConfig } from '../config.ts'
import { exitDone, exitNotTaken, say, tell, UsageRefusal, type Verb } from './verb.ts'

export const testMailVerb: Verb = {
  name: 'test-mail',
  words: '[FLAGS]',
  does: 'sends a test to everybody who gets the mail of the night; 0 all taken, 1 not',
  async run(words) {
    const plan = mailPlanOf(readConfig(words, process.env))
    if (!plan)
      throw new UsageRefusal(
        'No mail server is set: name one with --mail (CIREWATCH_MAIL), see the README under Settings.',
      )
    const clock = siteClock()
    const giveUp = new AbortController()
    const tooLong = clock.after(mailTryMsMax, () => giveUp.abort())
    try {
      const { taken, refused } = await new Post(plan).send({
        message: testMessage(plan),
        senderName: 'Cirewatch',
        at: clock.now(),
        to: plan.to,
        signal: giveUp.signal,
      })
      for (const { sentence } of refused) tell(sentence)
      say(`${serverName(plan.server)} took the test for ${taken.length} of ${count(plan.to.length, 'recipient')}.`)
      return refused.length === 0 ? exitDone : exitNotTaken
    } catch (error) {
      if (!(error instanceof PostFailure)) throw error
      tell(error.message)
      return exitNotTaken
    } finally {
      tooLong()
    }
  },
}

function testMessage({ at, pages }: MailPlan) {
  return messageOf(
    {
      subject: 'Cirewatch: a test of the mail of the night',
      invented: null,
      title: 'A test',
      top: [
        'Somebody tried whether mail from Cirewatch arrives here. It does.',
        `The review of the night will come each morning at ${at} of the foundry, or at dawn where that is later.`,
        ...(pages === null ? [] : [`It will link to the pages at ${pages}.`]),
      ],
      link: null,
      parts: [],
      bottom: [`Cirewatch watches and warns. ${nightAuthorisesNothing}`],
    },
    [],
  )
}
