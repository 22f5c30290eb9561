import { createRequire } from 'node:module'
import { resolve } from 'node:path'
import { cruise, type ICruiseResult } from 'dependency-cruiser'
import extractTSConfig from 'dependency-cruiser/config-utl/extract-ts-config'

type Rule = { name: string; comment: string }
const config: { forbidden: Rule[]; options: Record<string, object> } = createRequire(import.meta.url)(
  '../../.dependency-cruiser.cjs',
)

/** Follows all imports of some files under a folder, and tells which break a rule of the house. */
export async function cruiseHouse(folder: string, files: string[]) {
  const { output } = await cruise(
    files,
    {
      ...config.options,
      baseDir: resolve(folder),
      ruleSet: { forbidden: config.forbidden },
      validate: true,
    } as object,
    config.options.enhancedResolveOptions as object,
    { tsConfig: extractTSConfig('tsconfig.json') },
  )
  const { summary } = output as ICruiseResult
  return {
    modules: summary.totalCruised,
    imports: summary.totalDependenciesCruised ?? 0,
    broken: summary.violations.map(one => ({
      rule: one.rule.name,
      way: one.cycle
        ? [one.from, ...one.cycle.map(step => step.name)].join(' → ')
        : `${one.from} → ${one.to}`,
      remedy: config.forbidden.find(rule => rule.name === one.rule.name)?.comment,
    })),
  }
}
