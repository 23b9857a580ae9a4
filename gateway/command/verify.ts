/** `verify`: re-reads everything in a database or a backup, and proves counts and checksums or says what is wrong. */
import { count } from '../../shared/words/index.ts'
import { type Proof, verify } from '../store/sqlite/keeping/verify.ts'
import { databaseIn, settingsOf } from './place.ts'
import { progressOver, progressTeller } from './progress.ts'
import { exitDamaged, exitDone, say, tell, type Verb } from './verb.ts'
import { readWords } from './words.ts'

export const verifyVerb: Verb = {
  name: 'verify',
  words: '[FILE] [--data DIR] [--json]',
  does: 're-reads a database or a backup whole, beside a running gateway too; 0 sound, 1 damaged',
  run(words) {
    const { values, positionals } = readWords(verifyVerb, words, {
      data: { type: 'string' },
      config: { type: 'string' },
      json: { type: 'boolean' },
    })
    const file = positionals[0] ?? databaseIn(settingsOf(values).data)
    const proof = verify(file, { progress: progressTeller() })
    progressOver()
    if (values.json) say(JSON.stringify(proof, null, 2))
    else tellProof(proof)
    return proof.sound ? exitDone : exitDamaged
  },
}

const number = (n: number) => n.toLocaleString('en-GB')

function tellProof(proof: Proof): void {
  for (const { series, readings, sealed, fingerprint } of proof.series)
    say(`${fingerprint ?? '-'}  ${series}  ${number(readings)} readings, ${number(sealed)} of them in blocks`)
  say(`${proof.journal.fingerprint || '-'}  journal  ${number(proof.journal.entries)} entries`)
  say(`${proof.fingerprint ?? '-'}  all`)
  if (proof.sound) {
    say(
      `Sound: ${number(proof.readings)} readings of ${count(proof.series.length, 'series', 'series')} in ${number(proof.blocks)} blocks and ${number(proof.readings - proof.sealed)} open rows, ${number(proof.journal.entries)} other entries, ${number(proof.bytes)} bytes.`,
    )
    return
  }
  for (const sentence of proof.told) tell(sentence)
  if (proof.faults > proof.told.length) tell(`And ${number(proof.faults - proof.told.length)} more of the kind.`)
  say(`Damaged: ${count(proof.faults, 'fault')} in ${proof.file}. Restore a backup; this file was left as it is.`)
}
