package practice

// generalSettings are the keys at the top of practice.toml.
var generalSettings = []setting{
	{
		key: "time_zone", field: func(s *Settings) any { return &s.TimeZone }, value: "UTC", accept: loadZone,
		what:   "IANA name of the zone that the clients live in, such as Europe/Berlin: decides each session's day and week",
		source: "UTC, so that no machine's own zone decides",
	},
	{
		key: "units", field: func(s *Settings) any { return &s.ReviewUnits }, value: "metric", words: []string{"metric", "imperial"},
		what:   "speeds and distances on the pages: metric or imperial; tables are always metric",
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

// boutSettings rule what counts as a bout and how its pacing is named.
var boutSettings = []setting{
	{
		key: "bouts.min_confidence", field: func(s *Settings) any { return &s.MinConfidence }, value: 0.5, low: 0, high: 1,
		what:   "acceptance score from which a bout is confirmed; below it is shown as a question",
		source: "where misses and false alarms balance on simulated sessions with known bouts",
	},
}

// limitSettings bound what broken or hostile exports may cost.
var limitSettings = []setting{
	{
		key: "limits.export_mb", field: func(s *Settings) any { return &s.Limits.ExportMB }, value: 256, low: 1, high: 4096,
		what:   "largest export, unpacked, in MB",
		source: "a day at one sample a second is about 50 MB in the wordiest format",
	},
	{
		key: "limits.archive_mb", field: func(s *Settings) any { return &s.Limits.ArchiveMB }, value: 8192, low: 1, high: 1 << 20,
		what:   "largest total of one archive's members, unpacked, in MB",
		source: "ten years of daily exports fit",
	},
	{
		key: "limits.archive_members", field: func(s *Settings) any { return &s.Limits.ArchiveMembers }, value: 20000, low: 1, high: 1e6,
		what:   "most members of one archive",
		source: "ten years of daily exports fit",
	},
	{
		key: "limits.archive_depth", field: func(s *Settings) any { return &s.Limits.ArchiveDepth }, value: 3, low: 1, high: 10,
		what:   "how deep archives may lie within archives",
		source: "a bundle of zipped folders of compressed exports",
	},
	{
		key: "limits.samples", field: func(s *Settings) any { return &s.Limits.Samples }, value: 1000000, low: 1000, high: 1e8,
		what:   "most samples of one export",
		source: "eleven days at one sample a second",
	},
	{
		key: "limits.session_hours", field: func(s *Settings) any { return &s.Limits.SessionHours }, value: 48, low: 1, high: 240,
		what:   "longest session, first sample to last, in hours",
		source: "longer ones are clocks gone wrong",
	},
}
