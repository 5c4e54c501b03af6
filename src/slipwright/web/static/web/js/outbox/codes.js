// Batch codes: seven random characters of Crockford's base 32 and a check character, ISO 7064 MOD 37-2.

export const ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ";
const CHECKS = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ*";
const SHORT = 4; // a pencil label carries this many

/** The check character of a stem; it may be one that no code carries. */
export function checkCharacter(stem) {
  let sum = 0;
  for (const sign of stem) sum = (2 * sum + CHECKS.indexOf(sign)) % CHECKS.length;
  return CHECKS[(((1 - 2 * sum) % CHECKS.length) + CHECKS.length) % CHECKS.length];
}

/** A fresh code whose first four characters are not in use. */
export function newCode(firstFoursInUse = new Set(), draw = () => crypto.getRandomValues(new Uint8Array(7))) {
  for (;;) {
    const stem = [...draw()].map((byte) => ALPHABET[byte & 31]).join("");
    const check = checkCharacter(stem);
    if (ALPHABET.includes(check) && !firstFoursInUse.has(stem.slice(0, SHORT))) return stem + check;
  }
}

/** A code as it is printed, a hyphen in its middle; other ids as they are. */
export function shown(code) {
  const isCode = code.length === 8 && [...code].every((sign) => ALPHABET.includes(sign));
  return isCode && checkCharacter(code.slice(0, 7)) === code[7] ? `${code.slice(0, SHORT)}-${code.slice(SHORT)}` : code;
}
