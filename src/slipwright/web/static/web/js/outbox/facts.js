// What the page tells a form's record: the facts the garden knew when it made the page.

/** The facts of a form, from the data on it. */
export function pageFacts({ dataset }) {
  const { batch, plant, after, afterOn, stuckOn, notYet } = dataset;
  return {
    batch, plant, after, afterOn, stuckOn, notYet,
    waiting: Number(dataset.waiting ?? 0), toPot: Number(dataset.toPot ?? 0), firstRoots: Number(dataset.firstRoots ?? 0), mustWait: "mustWait" in dataset,
    batches: dataset.batches ? JSON.parse(dataset.batches) : undefined,
    ...(dataset.sticking ? JSON.parse(dataset.sticking) : {}),
  };
}

/** Whether anything was typed or chosen in a form since the page came. Days are filled in by themselves. */
export function isTyped(form) {
  return [...form.elements].some((field) => {
    if (["hidden", "date", "submit", "button"].includes(field.type)) return false;
    if (field.type === "file") return field.files.length > 0;
    if (["checkbox", "radio"].includes(field.type)) return field.checked !== field.defaultChecked;
    if (field.options) return field.selectedIndex !== Math.max([...field.options].findIndex((one) => one.defaultSelected), 0);
    return "defaultValue" in field && field.value !== field.defaultValue;
  });
}
