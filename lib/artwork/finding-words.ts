import type { FindingCode } from './findings'

/** A finding in two or three words, for lists; the whole sentence stands on the artwork's own page. */
export const FINDING_WORDS: Record<FindingCode, string> = {
  empty: 'nothing to print',
  'too-few-pixels': 'far too small',
  'low-resolution': 'soft edges',
  stretched: 'stretched',
  unseen: 'hardly seen on this cloth',
  'dark-ground': 'cloth too dark',
  'printed-box': 'a box around the art',
  'thin-lines': 'lines too thin',
  'thin-gaps': 'gaps may close',
  specks: 'specks',
  'stiff-patch': 'a stiff patch',
  'partly-transparent': 'half transparent',
  'garment-colour': 'cloth’s colour in the art',
  'below-house-rule': 'below the house rule',
  'declared-size': 'claims another size',
  'empty-margin': 'empty margin',
  'full-rectangle': 'a full rectangle',
  'white-prints-nothing': 'white will not print',
  'many-colours': 'many colours',
  'converted-colour': 'colours converted',
  'first-page-only': 'first page only',
  'drawn-text': 'live letters',
}
