// What this page uses of Vega, in place of the package `vega`, which joins all of its parts: maps,
// trees, word clouds and the like are left out of the page. Their versions are those of `vega`, held
// by package-lock.json. bundle.mjs puts this file where "vega" is imported.
import { transforms } from "vega-dataflow";
import * as encoding from "vega-encode";
import * as dataTransforms from "vega-transforms";
import { extend } from "vega-util";
import * as viewTransforms from "vega-view-transforms";
import * as nearestPoint from "vega-voronoi";

extend(transforms, dataTransforms, viewTransforms, encoding, nearestPoint);

export { parse } from "vega-parser";
export * from "vega-util";
export { View } from "vega-view";
