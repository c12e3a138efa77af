// Package stats holds the statistics that the measures rest on: moments and
// quantiles, least squares with standard errors, the Theil–Sen line, the
// Mann–Kendall test, and a trend in words made of the last two.
//
// NaN means missing and is left out, of both columns where two belong
// together; an infinite value is data and spoils what it touches. A result
// that the data cannot give is NaN. No function changes its arguments. Two
// columns of different length are a caller's mistake and panic.
package stats
