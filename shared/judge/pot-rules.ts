/** What the document says of a pot, laid out for its forecast and its care. */
import type { Foundry, Instrument, PotSetting, Quantity, Station, WaxRecipe } from '../contract/index.ts'
import type { CourseFacts } from './forecast/index.ts'

export interface PotRules {
  setting: PotSetting
  facts: CourseFacts
  /** The newest revision of the recipe that is named for the pot. */
  recipe: WaxRecipe | null
  /** The lowest ceiling that anybody set: standing limit or recipe, °C. */
  ceilingC: number | null
  /** Indexes of series within the station; −1 where there is none: wax by contact, its surface by infrared, heater current, mould. */
  wax: number
  surface: number
  heater: number
  mould: number
  buttons: readonly number[]
  /** The instrument that knows the air around it, with its station; null where none does. */
  air: string | null
}

interface Listed {
  quantity: Quantity
  instrument: number
}

function newest(foundry: Foundry, id: string | undefined): WaxRecipe | null {
  const all = foundry.recipes.filter((r): r is WaxRecipe => r.kind === 'wax' && r.id === id)
  return all.reduce<WaxRecipe | null>((best, r) => (best && best.revision >= r.revision ? best : r), null)
}

function airOf(foundry: Foundry, setting: PotSetting): string | null {
  if (setting.air !== undefined) return setting.air
  const around = new Set(foundry.stations.filter((s) => s.kind === 'surroundings').map((s) => s.id))
  return foundry.instruments.find((i) => i.place === 'room-air' && around.has(i.station))?.id ?? null
}

/** Null where the station is no pot. `leading`: the series that stands for it. */
export function potRules(
  foundry: Foundry,
  station: Station,
  instruments: readonly Instrument[],
  series: readonly Listed[],
  leading: number,
): PotRules | null {
  if (station.kind !== 'pot' && station.kind !== 'bench-cup') return null
  const setting = station.pot ?? {}
  const recipe = newest(foundry, setting.recipe)
  const of = (s: Listed) => instruments[s.instrument]
  const find = (fits: (s: Listed, i: Instrument) => boolean) =>
    series.findIndex((s) => {
      const instrument = of(s)
      return instrument !== undefined && fits(s, instrument)
    })
  const isTemperature = (s: Listed) => s.quantity === 'temperature'
  const lead = series[leading]
  const byContact = (s: Listed, i: Instrument) => isTemperature(s) && i.kind === 'thermocouple' && i.place !== 'mould'
  const isLeadContact = lead !== undefined && byContact(lead, of(lead) as Instrument)
  const ceilings = [
    ...station.limits.flatMap((limit) => (limit.kind === 'ceiling' ? [limit.aboveC] : [])),
    ...(recipe?.ceilingC === undefined ? [] : [recipe.ceilingC]),
  ]
  return {
    setting,
    facts: {
      waxKg: setting.waxKg ?? null,
      heaterW: setting.heaterW ?? null,
      setPointC: setting.setPointC ?? null,
      congealing: recipe?.congealing ?? null,
    },
    recipe,
    ceilingC: ceilings.length > 0 ? Math.min(...ceilings) : null,
    wax: isLeadContact ? leading : find(byContact),
    surface: find((s, i) => isTemperature(s) && i.kind === 'infrared'),
    heater: find((s, i) => s.quantity === 'current' && i.place === 'heater'),
    mould: find((s, i) => isTemperature(s) && i.place === 'mould'),
    buttons: series.flatMap((s, at) => (s.quantity === 'contact' && of(s)?.place === 'button' ? [at] : [])),
    air: airOf(foundry, setting),
  }
}
