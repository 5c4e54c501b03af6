// What a form says, read as the server reads it: what is empty was not said, and is never nought.
import { decimalText } from "./content.js";

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
    const said = this.text(name);
    if (!said) return null;
    if (!/^[+-]?[0-9]{1,9}$/.test(said)) throw new Wrong(name, "whole");
    return Number(said);
  }

  decimal(name) {
    const said = this.text(name);
    if (!said) return "";
    try {
      return decimalText(said);
    } catch {
      throw new Wrong(name, "number");
    }
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
