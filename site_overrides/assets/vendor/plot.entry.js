/** What the charts use of the charting library; bundled into one file. */
export { axisX, axisY, dot, gridX, gridY, line, plot, ruleX, ruleY, text } from "@observablehq/plot";
