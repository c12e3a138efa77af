// Package pipeline turns a practice's inbox into tables and pages. These are
// its steps; other comments refer to them by name.
//
//  1. Scan. The inbox is listed; an export whose size and time are known is
//     not opened.
//  2. Ingest. Every new export is opened, told by its bytes, decoded, brought
//     to the 1 Hz grid and kept: its trace as a file, what is known of it as
//     a record. What cannot be read is recorded with its reason.
//  3. Group. A client's recordings that are one workout become one session:
//     the best channel of each.
//  4. Observe. The session's trace is measured as far as it goes by itself:
//     bouts, steadiness, recoveries, seconds at each value. Kept, and its page
//     drawn. Most workouts come as one export: these are observed while their
//     trace is still at hand, in step 2.
//  5. Judge. The facts of the session's day are applied: bands, near-maximal
//     time, training impulse. Needs no trace.
//  6. Review. All sessions of a client together: weeks, progress, capacity,
//     findings.
//  7. Publish. Rows become Parquet, CSV and pages; a file is replaced,
//     atomically, only where its bytes change. The pages of sessions hold
//     nothing that rests on facts: those lie beside them, a file a year. They
//     are replaced where the trace was measured, or is drawn, anew.
//
// Run does all of them, Reprocess the steps from Group on. Observe and Judge
// together are [Measure]: a pure function of trace, facts and settings, the
// same on one machine or many.
package pipeline
