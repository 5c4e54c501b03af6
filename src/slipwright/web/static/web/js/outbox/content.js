// The canonical content of an entry, and its SHA-256: byte for byte what the server works out.
import canonicalize from "./vendor/canonicalize.js";

/** The version of the content this phone writes. */
export const VERSION = 1;
const SEEN_AT = new Set(["withdrawal", "note", "bed", "reading", "photo"]);
const DECIMAL = /^-?[0-9]{1,20}(\.[0-9]{1,20})?$/;

/** A decimal number as text: a point, no plus, no trailing noughts, and -0 is 0. */
export function decimalText(said) {
  const text = said.trim().replace(",", ".").replace(/^\+/, "").replace(/^(-?)\./, "$10.").replace(/\.$/, "");
  if (!DECIMAL.test(text)) throw new TypeError(`no number: ${said}`);
  const [, sign, whole, part = ""] = text.match(/^(-?)([0-9]+)(?:\.([0-9]+))?$/);
  const rest = part.replace(/0+$/, "");
  const plain = `${whole.replace(/^0+(?=[0-9])/, "")}${rest ? `.${rest}` : ""}`;
  return plain === "0" ? "0" : sign + plain;
}

/** A moment as YYYY-MM-DDTHH:MM:SS±HH:MM, by the offset of the phone. */
export function instantText(moment) {
  const east = -moment.getTimezoneOffset();
  const two = (n) => String(Math.floor(n)).padStart(2, "0");
  const local = new Date(moment.getTime() + east * 60_000).toISOString().slice(0, 19);
  return `${local}${east < 0 ? "-" : "+"}${two(Math.abs(east) / 60)}:${two(Math.abs(east) % 60)}`;
}

/** The content of an entry: what is empty is left out, text is in NFC, numbers are whole. */
export function content({ kind, garden, id, by, when, fields }) {
  const whole = { kind, v: VERSION, garden, id, [SEEN_AT.has(kind) ? "at" : "on"]: when, fields: {} };
  if (by) whole.by = by.normalize("NFC");
  for (const [name, value] of Object.entries(fields)) {
    if (value === null || value === undefined || value === "") continue;
    if (typeof value === "string") whole.fields[name] = value.normalize("NFC");
    else if (Number.isSafeInteger(value)) whole.fields[name] = value;
    else throw new TypeError(`${name} must be text or a whole number`);
  }
  return whole;
}

/** The RFC 8785 text of a content. */
export const canonical = (whole) => canonicalize(whole);

/** The SHA-256 of the canonical text in UTF-8, in hexadecimal. */
export async function sha256(whole) {
  const sum = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(canonical(whole)));
  return [...new Uint8Array(sum)].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}
