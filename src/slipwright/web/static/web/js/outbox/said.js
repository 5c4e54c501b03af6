// What a form says, read as the server reads it: what is empty was not said, and is never nought.
import { decimalText } from "./content.js";

const NUMBER = /^([+-]?)([0-9]*)(?:\.([0-9]*))?(?:e([+-]?[0-9]{1,3}))?$/i;
const MOST_SIGNS = 20;
const MOST_FIGURES = 9;

/** Something a form says breaks a rule; `rule` names the words that tell it, `field` is where. */
export class Wrong extends Error {
  constructor(field, rule) {
    super(`${field}: ${rule}`);
    Object.assign(this, { field, rule });
  }
}

/** The fields of a form, without the space around them. */
export class Said {
  /** `pairs` are the names and values of the form's fields, and of the button that was pressed. */
  constructor(pairs) {
    this.pairs = [...pairs].filter(([, value]) => typeof value === "string");
  }

  text(name) {
    return (this.pairs.findLast(([one]) => one === name)?.[1] ?? "").trim();
  }

  texts(name) {
    return this.pairs.filter(([one, value]) => one === name && value).map(([, value]) => value);
  }

  whole(name) {
    const said = this.text(name);
    if (!said) return null;
    if (!/^[0-9]{1,9}$/.test(said)) throw new Wrong(name, "whole");
    return Number(said);
  }

  signed(name) {
    const said = this.decimal(name);
    if (!said) return null;
    if (!/^-?[0-9]{1,9}$/.test(said)) throw new Wrong(name, "whole");
    return Number(said);
  }

  /** A number as its plain text, however it was written: 5,0 and 5e0 are 5. */
  decimal(name) {
    const said = this.text(name);
    if (!said) return "";
    const [, sign, whole = "", part = "", power = "0"] = NUMBER.exec(said.replace(",", ".")) ?? [];
    const figures = whole + part;
    if (!figures || said.length > MOST_SIGNS || Math.abs(Number(power)) > MOST_FIGURES) throw new Wrong(name, "number");
    const point = whole.length + Number(power);
    const all = figures.padStart(figures.length + Math.max(-point, 0), "0").padEnd(point, "0");
    const n = Math.max(point, 0);
    const text = decimalText(`${sign}${all.slice(0, n) || "0"}.${all.slice(n) || "0"}`);
    if (text.split(".")[0].replace("-", "").length > MOST_FIGURES + 1) throw new Wrong(name, "number");
    return text;
  }

  /** A day, not after `today`, which stands where none is said. */
  day(name, today) {
    const said = this.text(name);
    if (!said) return today;
    if (!/^[0-9]{4}-[0-9]{2}-[0-9]{2}$/.test(said)) throw new Wrong(name, "day");
    if (said > today) throw new Wrong(name, "ahead");
    return said;
  }
}
