// The page is seen before its scripts are asked for: they lie in a template until the first paint.
const begin = () => document.body.append(document.getElementById("scripts").content.cloneNode(true));
if (document.visibilityState === "hidden") begin(); // nothing is painted in a tab that nobody sees
else requestAnimationFrame(() => setTimeout(begin));
