package practice

import (
	"boutwise/metrics"
	"boutwise/metrics/bouts"
	"boutwise/parsers/recording"
)

// generalSettings are the keys at the top of practice.toml.
var generalSettings = []setting{
	{
		key: "time_zone", field: func(s *Settings) any { return &s.TimeZone }, value: "UTC", accept: loadZone,
		what:   "IANA name of the zone that the clients live in, such as Europe/Berlin: decides the day and week of a session whose device told no offset from UTC of its own",
		source: "UTC, so that no machine's own zone decides",
	},
	{
		key: "units", field: func(s *Settings) any { return &s.ReviewUnits }, value: "metric", words: []string{"metric", "imperial"},
		what:   "speeds, paces, distances and heights on the pages and in boutwise inspect --practice: metric or imperial; tables are always metric",
		source: "international units",
	},
	{
		key: "keep_position", field: func(s *Settings) any { return &s.KeepPosition }, value: false,
		what:   "keep latitude and longitude in the store and in the samples table",
		source: "off: where clients live and train is nobody's business unless you need it",
	},
	{
		key: "write_samples", field: func(s *Settings) any { return &s.WriteSamples }, value: false,
		what:   "write the second-by-second traces as the samples table",
		source: "off: large, and every other table does without",
	},
}

// pacingLimits are the defaults of the pacing section.
var pacingLimits = metrics.DefaultPacingLimits()

// boutSettings rule what counts as a bout and how its pacing is named.
var boutSettings = []setting{
	{
		key: "bouts.min_confidence", field: func(s *Settings) any { return &s.MinConfidence }, value: bouts.DefaultSettings().Accept, low: 0, high: 1,
		what:   "acceptance score from which a bout is confirmed; below it is shown as a question",
		source: "the bout finder's own default",
	},
	{
		key: "pacing.change_pct", field: func(s *Settings) any { return &s.Pacing.ChangePct }, value: pacingLimits.ChangePct, low: 1, high: 50,
		what:   "least change from a bout's first quarter to its last, in percent of its mean, that makes it anything but even",
		source: noSource,
	},
	{
		key: "pacing.uneven_pct", field: func(s *Settings) any { return &s.Pacing.UnevenPct }, value: pacingLimits.UnevenPct, low: 1, high: 50,
		what:   "least coefficient of variation of a bout's 10 s means, in percent, that makes it uneven",
		source: noSource,
	},
	{
		key: "pacing.certainty", field: func(s *Settings) any { return &s.Pacing.Certainty }, value: pacingLimits.Certainty, low: 0, high: 5,
		what:   "how many standard errors such a difference must exceed besides",
		source: "several differences are looked at, so that each must be surer than the usual 2 (about 95 %); " + noSource,
	},
}

// kindLimits are the defaults of the kinds section.
var kindLimits = metrics.DefaultKindLimits()

// kindSettings name bouts and sessions by their lengths.
var kindSettings = []setting{
	{
		key: "kinds.interval_from_s", field: func(s *Settings) any { return &s.Kinds.IntervalFrom }, value: kindLimits.IntervalFrom, low: 30, high: 600,
		what: "shortest interval in seconds; a shorter bout is a burst", source: noSource,
	},
	{
		key: "kinds.interval_to_s", field: func(s *Settings) any { return &s.Kinds.IntervalTo }, value: kindLimits.IntervalTo, low: 120, high: 3600,
		what: "longest interval in seconds; a longer bout is a block", source: noSource,
	},
	{
		key: "kinds.tolerance_s", field: func(s *Settings) any { return &s.Kinds.Tolerance }, value: kindLimits.Tolerance, low: 0, high: 30,
		what: "seconds by which a measured bout may miss these", source: noSource,
	},
	{
		key: "kinds.base_minutes", field: func(s *Settings) any { return &s.Kinds.BaseMinutes }, value: kindLimits.BaseMinutes, low: 5, high: 120,
		what: "least minutes of movement that make a session without bouts a base session", source: noSource,
	},
	{
		key: "kinds.min_bursts", field: func(s *Settings) any { return &s.Kinds.MinBursts }, value: kindLimits.MinBursts, low: 2, high: 10,
		what: "fewest bursts that show a design, not a hill or a sprint for the lights", source: noSource,
	},
	{
		key: "kinds.min_intervals", field: func(s *Settings) any { return &s.Kinds.MinIntervals }, value: kindLimits.MinIntervals, low: 1, high: 10,
		what: "fewest intervals, likewise", source: noSource,
	},
	{
		key: "kinds.bursts_from", field: func(s *Settings) any { return &s.Kinds.BurstsFrom }, value: kindLimits.BurstsFrom, low: 0, high: 0.95,
		what: "share of a base session after which bursts are near its end", source: noSource,
	},
	{
		key: "kinds.dominant_share", field: func(s *Settings) any { return &s.Kinds.DominantShare }, value: kindLimits.DominantShare, low: 0.5, high: 1,
		what: "least share of the work that one kind of bout needs to name the session", source: noSource,
	},
}

// parserLimits are the defaults of the limits section.
var parserLimits = recording.DefaultLimits()

// limitSettings bound what broken or hostile exports may cost.
var limitSettings = []setting{
	{
		key: "limits.export_bytes", field: func(s *Settings) any { return &s.Limits.MaxBytes }, value: parserLimits.MaxBytes, low: 1 << 20, high: 1 << 32,
		what:   "most bytes of one export once unpacked",
		source: "two days at one sample a second are about 60 MB in the wordiest format",
	},
	{
		key: "limits.samples", field: func(s *Settings) any { return &s.Limits.MaxSamples }, value: parserLimits.MaxSamples, low: 1000, high: 1e8,
		what:   "most samples of one export",
		source: "two days at one sample a second",
	},
	{
		key: "limits.marks", field: func(s *Settings) any { return &s.Limits.MaxMarks }, value: parserLimits.MaxMarks, low: 100, high: 1e7,
		what:   "most laps, legs, pauses and device entries of one export together",
		source: "two days with a lap every 10 s",
	},
	{
		key: "limits.xml_depth", field: func(s *Settings) any { return &s.Limits.MaxXMLDepth }, value: parserLimits.MaxXMLDepth, low: 16, high: 10000,
		what:   "how deep XML elements may nest",
		source: "the deepest element that is read lies 10 deep",
	},
	{
		key: "limits.archive_members", field: func(s *Settings) any { return &s.Limits.MaxMembers }, value: parserLimits.MaxMembers, low: 1, high: 1e7,
		what:   "most members of one archive, archives within it counted through",
		source: "ten years of several exports a day, with as many files beside them",
	},
	{
		key: "limits.archive_nesting", field: func(s *Settings) any { return &s.Limits.MaxNesting }, value: parserLimits.MaxNesting, low: 1, high: 10,
		what:   "how many containers may lie inside each other",
		source: "a compressed export in an archive in an archive",
	},
	{
		key: "limits.unpacking_ratio", field: func(s *Settings) any { return &s.Limits.MaxRatio }, value: parserLimits.MaxRatio, low: 10, high: 1100,
		what:   "how many times its own size a file in the inbox may unpack to",
		source: "exports of idle minutes shrink about 50-fold; the common compression can reach 1032",
	},
	{
		key: "limits.earliest_year", field: func(s *Settings) any { return &s.Limits.EarliestYear }, value: parserLimits.EarliestYear, low: 1970, high: 2100,
		what:   "first year in which a workout can have been; the date of an earlier one is called doubtful",
		source: "a device whose clock was never set counts from 1970, 1980 or 1989",
	},
	{
		key: "limits.latest_year", field: func(s *Settings) any { return &s.Limits.LatestYear }, value: parserLimits.LatestYear, low: 2000, high: 9000,
		what:   "last year in which a workout can have been; the date of a later one is called doubtful",
		source: "clocks that overflow show 2106 or later",
	},
}
