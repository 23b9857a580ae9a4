/** A solid mould as a long cylinder in shells: heat comes through a film and creeps to the core; free water holds a shell at 100 °C until it is gone. */

const stefanBoltzmann = 5.670_374_419e-8

export interface MouldSpec {
  radiusM: number
  shells: number
  /** W/mK and m²/s. */
  conductivity: number
  diffusivity: number
  /** Convection at the skin, W/m²K, and how black skin and kiln are to each other. */
  filmWPerM2K: number
  emissivity: number
  /** Free water, kg for each m³ of mould. */
  waterKgPerM3: number
}

/** 200 mm, dewaxed and dried. */
export const mould200: MouldSpec = {
  radiusM: 0.1,
  shells: 20,
  conductivity: 0.4,
  diffusivity: 3.5e-7,
  filmWPerM2K: 12,
  emissivity: 0.8,
  waterKgPerM3: 0,
}

/** Of evaporation at 100 °C, J/kg (steam tables; from memory). */
const latentJPerKg = 2.257e6
const boilingC = 100

export interface Mould {
  spec: MouldSpec
  /** From the core outwards, °C. */
  shellsC: readonly number[]
  /** Water left in each, kg for each m³. */
  waterKgPerM3: readonly number[]
}

export function mouldAt(spec: MouldSpec, temperatureC: number): Mould {
  const all = <T>(v: T) => Array.from({ length: spec.shells }, () => v)
  return { spec, shellsC: all(temperatureC), waterKgPerM3: all(spec.waterKgPerM3) }
}

export const coreC = (mould: Mould): number => mould.shellsC[0] as number

/** The mould `dtS` seconds later in air of this temperature; in parts short enough for its shells to stay stable. */
export function stepMould(mould: Mould, airC: number, dtS: number): Mould {
  const { spec } = mould
  const dr = spec.radiusM / spec.shells
  const parts = Math.max(1, Math.ceil(dtS / ((0.2 * dr * dr) / spec.diffusivity)))
  let now = mould
  for (let i = 0; i < parts; i++) now = part(now, airC, dtS / parts)
  return now
}

function part(mould: Mould, airC: number, dtS: number): Mould {
  const { spec, shellsC } = mould
  const { shells: n, conductivity: k } = spec
  const dr = spec.radiusM / n
  const heatCapacity = k / spec.diffusivity
  const skinC = shellsC[n - 1] as number
  const middleK = (skinC + airC) / 2 + 273.15
  const film = spec.filmWPerM2K + 4 * spec.emissivity * stefanBoltzmann * middleK ** 3
  // Through the film and half of the outermost shell, W for each metre of length over 2π.
  const through = 1 / (1 / film + dr / 2 / k)
  const water = [...mould.waterKgPerM3]
  const next = shellsC.map((c, i) => {
    const inner = i === 0 ? 0 : i * dr * k * (((shellsC[i - 1] as number) - c) / dr)
    const outer =
      i === n - 1 ? spec.radiusM * through * (airC - c) : (i + 1) * dr * k * (((shellsC[i + 1] as number) - c) / dr)
    const volume = ((i + 1) ** 2 - i ** 2) * dr * dr * 0.5
    const gainJ = ((inner + outer) * dtS) / volume
    const warmed = c + gainJ / heatCapacity
    const left = water[i] as number
    if (warmed <= boilingC || left <= 0) return warmed
    // What would go beyond boiling goes into steam.
    const excessJ = (warmed - Math.max(boilingC, c)) * heatCapacity
    const steam = Math.min(left, excessJ / latentJPerKg)
    water[i] = left - steam
    return Math.max(boilingC, c) + (excessJ - steam * latentJPerKg) / heatCapacity
  })
  return { spec, shellsC: next, waterKgPerM3: water }
}
