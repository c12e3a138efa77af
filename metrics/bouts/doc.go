// Package bouts finds the stretches of a session that were meant to be held:
// without any lap button, from the signal itself, with a measure of how sure
// each boundary is.
//
// [Find] works in these stages:
//
//  1. The signal becomes a series of values with weights (prepare.go): a
//     stopped recording is no output, bridged seconds take their nearest
//     sample. A power or speed is read twice where it has short zeros, with
//     them and without, since they may be rests or coasting. A heart rate is
//     turned into the demand behind it (heartrate.go).
//  2. The series becomes a staircase (segment.go, fit.go): the partition of
//     least squared error with a penalty a step, which grows with the noise
//     (noise.go). In noise, a second, coarser staircase sees long bouts whole.
//  3. Every stretch that at some level is an unbroken run above it is a
//     candidate (tree.go), parents and parts alike. What is one bout and what
//     are two is not decided here.
//  4. Chains of alike candidates are sought for many patterns (sets.go,
//     chain.go) by the evidence that they repeat it (evidence.go, work.go).
//  5. A chain is scored by what tells a set from a session that happens to
//     have hard and easy parts (features.go, hills.go, score.go): how well it
//     repeats, how evenly it is held, whether there is as hard work outside
//     it, whether the client also rode easily, and more. From a score on it
//     is confirmed, from a lower one possible. Where the output leaves it in
//     doubt, the heart rate may bear it out (witness.go). A set that keeps to a
//     clock is completed by the rounds that the clock asks for (complete.go).
//     What is left may hold a lone block, or the unlike efforts of a test day
//     (lone.go, plain.go).
//  6. Each boundary is settled between the steps around it (settle.go), moved to
//     where it parts the levels of the whole bout and its rests (recast.go), and
//     placed by the likelihood of the values around it (edges.go, rise.go,
//     whiten.go), with a 90 % interval. All boundaries of a session share the
//     noise (held.go) and the form of their rises (posterior.go), those of a
//     set its durations (habit.go). A heart rate's boundaries are placed by its
//     kinetics (ratefit.go).
//
// Levels count relative to each other throughout, so that neither client nor
// unit matters. How well it does is measured by the command scripts/accuracy
// on sessions of package synthetic and on real recordings.
package bouts
