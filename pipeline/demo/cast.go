package demo

import (
	"boutwise/parsers/recording"
	"boutwise/pipeline/practice"
)

// client is one of the cast: who it is, body, equipment, the coach's
// programme, the client's habits, and the story.
type client struct {
	who      practice.Client
	body     body
	kit      kit
	measured []measured
	bands    []band
	steps    []step
	habits   habits
	events   []event
	lastWeek int // the last week with any session; 0 for all
	tale     tale
}

// measured is a row of measurements.csv, dated by the demonstration's week.
type measured struct {
	week, weekday int
	quantity      practice.Quantity
	value         float64
}

// band is a row of bands.csv, dated likewise.
type band struct {
	week, weekday int
	signal        practice.BandSignal
	name          string
	lower         float64
	unit          string
}

// habits is how a client does what was asked. Efforts are fractions of the
// oxygen uptake reserve, which heart rate reserve follows closely.
type habits struct {
	base, burst, easy float64
	intervals         []float64 // session by session; the last one stays
	shape             shape     // of interval bouts; nil is even
	early             int       // second of the day around which sessions begin
	rates             bool      // answers the device's question for exertion
}

const hour = 3600

// cast lists the eight clients by identifier. Names, bodies and devices are
// invented. What each is there for stands in tales.go.
func cast() []client {
	people := []client{
		{
			who:  practice.Client{ID: "c101", Name: "Ottilie Varnham", BirthYear: 1964, Sex: practice.Female},
			body: body{mass: 66, resting: 63, maximal: 166, vo2max: 26, gain: 0.006, drift: 3, rise: 42, fall: 55},
			kit:  kit{format: recording.FIT, name: "Ambrel E2", product: 21, serial: 40211, machine: ergometer, file: "20060102-150405"},
			measured: []measured{
				{0, 2, practice.BodyMass, 66}, {0, 2, practice.RestingHR, 63}, {0, 2, practice.MaxHR, 166},
				{7, 1, practice.RestingHR, 61},
			},
			habits: habits{base: 0.44, burst: 0.74, easy: 0.29, intervals: []float64{0.74, 0.77, 0.79, 0.82}, early: 7 * hour, rates: true},
			steps: []step{
				{week: 1, kind: practice.Base, perWeek: 2, minutes: 40},
				{week: 3, kind: practice.Base, perWeek: 3, minutes: 30},
				{week: 4, kind: practice.Base, perWeek: 3, minutes: 34},
				{week: 6, kind: practice.Base, perWeek: 1, minutes: 36},
				{week: 6, kind: practice.BaseWithBursts, perWeek: 2, minutes: 38, rounds: 5, work: 60, rest: 60},
				{week: 9, kind: practice.BaseWithBursts},
				{week: 9, kind: practice.Base, perWeek: 2, minutes: 39},
				{week: 9, kind: practice.Intervals, perWeek: 1, minutes: 42, rounds: 4, work: 180, rest: 180},
			},
			events: []event{{week: 4, slot: 1, what: exportedTwice}},
		},
		{
			who:  practice.Client{ID: "c102", Name: "Tomas Brackwell", BirthYear: 1985, Sex: practice.Male},
			body: body{mass: 83, resting: 60, maximal: 183, vo2max: 38, gain: 0.003, drift: 4, rise: 36, fall: 50},
			kit:  kit{format: recording.FIT, name: "Lindvik Pedal 4", product: 7, serial: 118203, machine: ergometer, laps: true, warm: true, file: "ride_2006-01-02", gzip: true},
			measured: []measured{
				{0, 0, practice.BodyMass, 83.5}, {0, 0, practice.RestingHR, 60}, {0, 0, practice.MaxHR, 183},
				{1, 2, practice.ThresholdPower, 178},
			},
			habits: habits{base: 0.46, burst: 0.80, easy: 0.30, intervals: []float64{0.90}, shape: fastStart, early: 18 * hour, rates: true},
			steps: []step{
				{week: 1, kind: practice.Base, perWeek: 3, minutes: 38},
				{week: 5, kind: practice.Base, perWeek: 1, minutes: 38},
				{week: 5, kind: practice.BaseWithBursts, perWeek: 2, minutes: 41, rounds: 5, work: 60, rest: 60},
				{week: 8, kind: practice.BaseWithBursts},
				{week: 8, kind: practice.Base, perWeek: 2, minutes: 38},
				{week: 8, kind: practice.Intervals, perWeek: 1, minutes: 48, rounds: 4, work: 240, rest: 240},
			},
		},
		{
			who:  practice.Client{ID: "c103", Name: "Anjali Verkamp", BirthYear: 1989, Sex: practice.Female},
			body: body{mass: 61, resting: 62, maximal: 188, vo2max: 43, gain: 0.001, drift: 18, rise: 34, fall: 48},
			kit: kit{format: recording.GPX, name: "Trailnote 3.2", machine: trailRun, route: meadow, file: "run-2006-01-02",
				archive: "phone backup 2006-01.zip", folder: "export/activities"},
			measured: []measured{
				{0, 4, practice.BodyMass, 61}, {0, 4, practice.RestingHR, 62}, {0, 4, practice.MaxHR, 188},
			},
			habits: habits{base: 0.74, easy: 0.5, early: 6*hour + 1200},
			steps:  []step{{week: 1, kind: practice.Base, perWeek: 3, minutes: 32}},
		},
		{
			who:  practice.Client{ID: "c104", Name: "Wendell Okonaro", BirthYear: 1952, Sex: practice.Male, HRLimitingMedication: true},
			body: body{mass: 79, resting: 52, maximal: 108, vo2max: 22, gain: 0.003, drift: 1.5, rise: 52, fall: 70},
			kit: kit{format: recording.FIT, name: "Ambrel E2", product: 21, serial: 40987, machine: ergometer, onChange: true, file: "20060102-150405",
				archive: "console stick.zip", folder: "EXPORT/2026", archiveUntil: 4},
			measured: []measured{
				{0, 1, practice.BodyMass, 79}, {0, 1, practice.RestingHR, 52},
			},
			habits: habits{base: 0.43, burst: 0.72, easy: 0.28, early: 10 * hour, rates: true},
			steps: []step{
				{week: 1, kind: practice.Base, perWeek: 3, minutes: 26},
				{week: 7, kind: practice.Base, perWeek: 2, minutes: 28},
				{week: 7, kind: practice.BaseWithBursts, perWeek: 1, minutes: 30, rounds: 5, work: 60, rest: 60},
			},
			events: []event{{week: 5, slot: 1, what: cutInHalf}},
		},
	}
	people = append(people, secondHalf()...)
	for i, c := range people {
		people[i].tale = tales[c.who.ID]
	}
	return people
}

// secondHalf continues the cast.
func secondHalf() []client {
	return []client{
		{
			who:  practice.Client{ID: "c105", Name: "Jorun Felsby", BirthYear: 1976, Sex: practice.Female},
			body: body{mass: 70, resting: 64, maximal: 174, vo2max: 31, gain: 0.003, drift: 3, rise: 40, fall: 55},
			kit:  kit{format: recording.TCX, name: "Lindvik Road 1", product: 12, serial: 55021, machine: roadRide, route: valley, pauses: true, file: "2006-01-02T15-04-05"},
			measured: []measured{
				{0, 3, practice.BodyMass, 70.4},
			},
			habits:   habits{base: 0.43, easy: 0.3, early: 9 * hour},
			steps:    []step{{week: 1, kind: practice.Base, perWeek: 3, minutes: 44}},
			events:   []event{{week: 7, slot: 2, what: emptyFile}},
			lastWeek: 7,
		},
		{
			who:  practice.Client{ID: "c106", Name: "Caspar Delacombe", BirthYear: 1987, Sex: practice.Male},
			body: body{mass: 72, resting: 50, maximal: 182, vo2max: 58, gain: 0.002, drift: 3, rise: 30, fall: 42},
			kit:  kit{format: recording.FIT, name: "Orsel Stride", product: 33, serial: 7003312, machine: roadRun, route: parkland, pauses: true, file: "orsel_20060102_1504"},
			measured: []measured{
				{0, 5, practice.BodyMass, 72}, {0, 5, practice.RestingHR, 50}, {0, 5, practice.MaxHR, 182},
			},
			bands: []band{
				{1, 0, practice.BandHeartRate, "very_light", 0, "bpm"},
				{1, 0, practice.BandHeartRate, "light", 92, "bpm"},
				{1, 0, practice.BandHeartRate, "moderate", 104, "bpm"},
				{1, 0, practice.BandHeartRate, "vigorous", 132, "bpm"},
				{1, 0, practice.BandHeartRate, "near_maximal", 168, "bpm"},
				{6, 2, practice.BandHeartRate, "very_light", 0, "bpm"},
				{6, 2, practice.BandHeartRate, "light", 90, "bpm"},
				{6, 2, practice.BandHeartRate, "moderate", 103, "bpm"},
				{6, 2, practice.BandHeartRate, "vigorous", 130, "bpm"},
				{6, 2, practice.BandHeartRate, "near_maximal", 167, "bpm"},
			},
			habits: habits{base: 0.50, burst: 0.82, easy: 0.36, intervals: []float64{0.78, 0.80, 0.82, 0.84}, early: 12 * hour, rates: true},
			steps: []step{
				{week: 1, kind: practice.Base, perWeek: 1, minutes: 45},
				{week: 1, kind: practice.BaseWithBursts, perWeek: 2, minutes: 46, rounds: 5, work: 60, rest: 60},
				{week: 4, kind: practice.BaseWithBursts},
				{week: 4, kind: practice.Base, perWeek: 2, minutes: 45},
				{week: 4, kind: practice.Intervals, perWeek: 1, minutes: 50, rounds: 4, work: 240, rest: 240},
			},
			events: []event{
				{week: 2, slot: 0, what: twoFormats},
				{week: 5, slot: 0, what: dropouts},
				{week: 7, slot: 2, what: frozen},
				{week: 8, slot: 0, what: cadenceLocked},
				{week: 10, slot: 2, what: dropouts},
			},
		},
		{
			who:  practice.Client{ID: "c107", Name: "Mirela Hagstone", BirthYear: 1950, Sex: practice.Female},
			body: body{mass: 63, resting: 67, maximal: 152, vo2max: 23, gain: 0.003, drift: 2.5, rise: 46, fall: 62},
			kit:  kit{format: recording.FIT, name: "Mirrin Walk T8", product: 8, serial: 90017, machine: treadmill, beltKmh: 4.4, file: "walk 2006-01-02 1504"},
			measured: []measured{
				{0, 2, practice.BodyMass, 63}, {0, 2, practice.RestingHR, 67}, {0, 2, practice.MaxHR, 152},
			},
			habits: habits{base: 0.43, burst: 0.74, easy: 0.40, intervals: []float64{0.70, 0.72}, early: 15 * hour, rates: true},
			steps: []step{
				{week: 1, kind: practice.Base, perWeek: 3, minutes: 25},
				{week: 4, kind: practice.Base, perWeek: 3, minutes: 28},
				{week: 7, kind: practice.Base, perWeek: 1, minutes: 28},
				{week: 7, kind: practice.BaseWithBursts, perWeek: 2, minutes: 30, rounds: 5, work: 60, rest: 60},
				{week: 12, kind: practice.BaseWithBursts},
				{week: 12, kind: practice.Base, perWeek: 2, minutes: 28},
				{week: 12, kind: practice.Intervals, perWeek: 1, minutes: 36, rounds: 4, work: 180, rest: 180},
			},
			events: []event{{week: 3, slot: 1, what: textFile}},
		},
		{
			who:  practice.Client{ID: "c108", Name: "Kenji Aldermoor", BirthYear: 1992, Sex: practice.Male},
			body: body{mass: 74, resting: 51, maximal: 190, vo2max: 47, gain: 0.009, drift: 3, rise: 30, fall: 40, workAboveCP: 15.5},
			kit:  kit{format: recording.TCX, name: "Norrvik Static", product: 4, serial: 310044, machine: ergometer, file: "activity_200601021504", gzip: true},
			measured: []measured{
				{0, 1, practice.BodyMass, 74}, {0, 1, practice.RestingHR, 51}, {0, 1, practice.MaxHR, 190},
				{1, 3, practice.ThresholdPower, 205}, {6, 0, practice.ThresholdPower, 214},
			},
			bands: []band{
				{1, 0, practice.BandPower, "easy", 0, "pct_threshold_power"},
				{1, 0, practice.BandPower, "steady", 55, "pct_threshold_power"},
				{1, 0, practice.BandPower, "brisk", 76, "pct_threshold_power"},
				{1, 0, practice.BandPower, "hard", 95, "pct_threshold_power"},
			},
			habits: habits{base: 0.47, burst: 0.85, easy: 0.32, intervals: []float64{0.76, 0.78, 0.80, 0.83}, early: 19 * hour},
			steps: []step{
				{week: 1, kind: practice.Base, perWeek: 3, minutes: 44},
				{week: 1, kind: practice.BaseWithBursts, perWeek: 1, minutes: 46, rounds: 5, work: 60, rest: 60},
				{week: 2, kind: practice.BaseWithBursts},
				{week: 2, kind: practice.Intervals, perWeek: 1, minutes: 50, rounds: 4, work: 240, rest: 240},
				{week: 5, kind: practice.Base, perWeek: 2, minutes: 44},
				{week: 5, kind: practice.Intervals, perWeek: 2, minutes: 45, rounds: 2, trials: trials},
				{week: 6, kind: practice.Intervals, perWeek: 1, minutes: 56, rounds: 5, work: 240, rest: 240},
				{week: 7, kind: practice.Base, perWeek: 3, minutes: 44},
				{week: 9, kind: practice.Intervals, perWeek: 1, minutes: 64, rounds: 6, work: 240, rest: 240},
				{week: 12, kind: practice.Base, perWeek: 2, minutes: 44},
				{week: 12, kind: practice.Intervals, perWeek: 2, minutes: 45, rounds: 2, trials: trials},
			},
			events: []event{{week: 6, weekday: 3, what: extraIntervals}},
		},
	}
}

// trials are maximal efforts in seconds, two a session: the spread that a
// critical-power fit wants, within 2 to 20 minutes.
var trials = [][]float64{{150, 560}, {240, 390}}
