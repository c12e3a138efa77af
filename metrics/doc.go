// Package metrics measures sessions. Every function is pure: columns and
// numbers in, columns and numbers out; no file, clock, configuration or
// goroutine. Each names its source.
//
// Missing values are NaN throughout. A figure that cannot be had from the
// data is NaN, never 0.
//
// The bout finder lives in package bouts, statistics in package stats, and
// sessions with known truth in package synthetic.
package metrics
