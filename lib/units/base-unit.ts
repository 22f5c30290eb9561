/** Base units in which stock and consumables are counted, always whole: pieces, microlitres, milligrams, millimetres, cm². */
export type BaseUnit = 'piece' | 'ul' | 'mg' | 'mm' | 'cm2'
