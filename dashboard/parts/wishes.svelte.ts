/** What this viewer chose, remembered on this device: unit, light or dark, and the name he signs with. */

type Theme = 'auto' | 'light' | 'dark'

function remembered(key: string): string | null {
  try {
    return localStorage.getItem(`cirewatch.${key}`)
  } catch {
    return null
  }
}

function remember(key: string, value: string): void {
  try {
    localStorage.setItem(`cirewatch.${key}`, value)
  } catch {
    // A browser that keeps nothing asks again next time; nothing else is lost.
  }
}

const night = matchMedia('(prefers-color-scheme: dark)')

class Wishes {
  #unit = $state<'C' | 'F'>(remembered('unit') === 'F' ? 'F' : 'C')
  #theme = $state<Theme>((['light', 'dark'] as const).find((t) => t === remembered('theme')) ?? 'auto')
  #name = $state(remembered('name') ?? '')
  #isNight = $state(night.matches)
  /** Set while somebody is being asked for a name. */
  asking = $state.raw<((name: string | null) => void) | null>(null)

  constructor() {
    night.addEventListener('change', (event) => {
      this.#isNight = event.matches
    })
  }

  get unit() {
    return this.#unit
  }
  set unit(unit: 'C' | 'F') {
    this.#unit = unit
    remember('unit', unit)
  }

  get theme() {
    return this.#theme
  }
  set theme(theme: Theme) {
    this.#theme = theme
    remember('theme', theme)
  }

  get shownTheme(): 'light' | 'dark' {
    if (this.#theme !== 'auto') return this.#theme
    return this.#isNight ? 'dark' : 'light'
  }

  get name() {
    return this.#name
  }
  set name(name: string) {
    this.#name = name.trim()
    remember('name', this.#name)
  }

  /** The name an act is signed with, asked once; null when somebody would rather not. */
  async signature(): Promise<string | null> {
    if (this.#name !== '') return this.#name
    return new Promise((resolve) => {
      this.asking = (name) => {
        this.asking = null
        if (name !== null) this.name = name
        resolve(name)
      }
    })
  }
}

export const wishes = new Wishes()
