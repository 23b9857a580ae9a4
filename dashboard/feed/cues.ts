/** Cues for ears: a spoken sentence and a tone, both off until somebody wants them. What they say stands on the page as well. */

export interface Ears {
  spoken: boolean
  tone: boolean
}

let context: AudioContext | null = null

/** Two notes rise when a window opens; one low note when something is wrong. */
function sound(wrong: boolean): void {
  context ??= new AudioContext()
  const begin = context.currentTime
  const notes = wrong ? [196, 196] : [440, 587]
  notes.forEach((hertz, i) => {
    if (!context) return
    const voice = context.createOscillator()
    const loud = context.createGain()
    voice.frequency.value = hertz
    loud.gain.setValueAtTime(0, begin + i * 0.25)
    loud.gain.linearRampToValueAtTime(0.25, begin + i * 0.25 + 0.03)
    loud.gain.linearRampToValueAtTime(0, begin + i * 0.25 + 0.22)
    voice.connect(loud).connect(context.destination)
    voice.start(begin + i * 0.25)
    voice.stop(begin + i * 0.25 + 0.25)
  })
}

/** True where this browser can speak. */
export function canSpeak(): boolean {
  return 'speechSynthesis' in globalThis
}

/** Never more than one sentence at a time: the newest is the one that counts. */
export function cue(sentence: string, wrong: boolean, ears: Ears): void {
  if (ears.tone) sound(wrong)
  if (!ears.spoken || !canSpeak()) return
  speechSynthesis.cancel()
  const words = new SpeechSynthesisUtterance(sentence)
  words.lang = 'en'
  speechSynthesis.speak(words)
}

/** Keeps the screen awake while it is looked at; tells whether the browser lets it. Returns how to stop. */
export function stayAwake(tell: (awake: boolean) => void): () => void {
  let held: WakeLockSentinel | null = null
  let stopped = false
  async function ask(): Promise<void> {
    if (stopped || document.visibilityState !== 'visible') return
    try {
      held = await navigator.wakeLock.request('screen')
      tell(true)
    } catch {
      tell(false)
    }
  }
  const again = () => void ask()
  // Absent where the page came over plain HTTP from another machine.
  if ('wakeLock' in navigator) {
    document.addEventListener('visibilitychange', again)
    void ask()
  } else tell(false)
  return () => {
    stopped = true
    document.removeEventListener('visibilitychange', again)
    void held?.release().catch(() => {})
  }
}
