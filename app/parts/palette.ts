/** Day, night, or unset: then the device decides. */
export type Palette = 'day' | 'night'
/** Where the person's choice is kept, for this device. */
export const PALETTE_COOKIE = 'palette'
