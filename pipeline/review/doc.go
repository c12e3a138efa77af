// Package review renders the pages that the coach reads: one for the morning,
// one a client, one a session. It is pure: rows and traces in, bytes out; the
// same input gives the same bytes. It opens, writes and asks nothing.
//
// # What a page depends on
//
// A caller that rewrites only what changed needs to know what each page rests
// on. Nothing but the following enters:
//
//   - [Style]: nothing. One stylesheet for all pages.
//   - [Session]: one [SessionData]: the session's rows (session, bouts, band
//     time, its findings, its files), its trace and output, the client's row of
//     clients.csv, and what was prescribed for its week. No other session and
//     no clock: a page written once stays as it is until one of these changes.
//   - [Client]: one [ClientData]: the client's rows of every table, the
//     client's row of clients.csv and prescriptions. No trace and no clock; the
//     only days on it are those in the rows. Weeks reach to the present one and
//     progress carries its day, so it changes as often as these rows do.
//   - [Index]: every client's [Summary], which [Summarise] makes from
//     [ClientData] and which is small enough to be kept between runs; the
//     sessions that the run brought in; exports outside any client's folder;
//     and the day. It changes daily.
//
// A caller keeps each client's Summary, renders Client and the changed
// sessions only for clients whose rows changed, and Index from all summaries
// at the end. Rows may come in any order; a page sorts them.
//
// # Where pages lie
//
// Paths are relative to the review's folder, with forward slashes: index.html,
// style.css, clients/CLIENT.html, sessions/CLIENT/SESSION.html. Links between
// pages are relative, so the folder can be moved or opened from disk. Every
// session row of a client is linked from the client's page: the caller must
// render a page for each.
package review
