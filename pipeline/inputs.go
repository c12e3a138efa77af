package pipeline

import (
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"

	"boutwise/metrics/bouts"
	"boutwise/pipeline/calendar"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/store"
	"boutwise/pipeline/tables"
)

// What a thing rests on is told by a fingerprint: where it differs from the
// one that the store holds, the thing is made anew. So a run that was cut
// short is made good by the next one, whatever it had reached; what it wrote
// and did not note is told by checksums (see begin).

// fingerprint is a short name for all that a value holds.
func fingerprint(value any) string {
	sum := sha256.Sum256(store.Encode(value))
	return hex.EncodeToString(sum[:16])
}

// observing picks from the settings what observations rest on.
func observing(set practice.Settings) Observing {
	o := Observing{Bouts: bouts.DefaultSettings(), Pacing: set.Pacing, Kinds: set.Kinds}
	o.Bouts.Accept = set.MinConfidence
	return o
}

// inputs is the fingerprint of all that a session's observation rests on.
func (s *session) inputs(set Observing) string {
	type leg struct {
		Key       string
		Sum       uint32
		Duplicate bool
		Part      int
		Leg       *legRecord
	}
	all := struct {
		Version int
		ID      string
		Set     Observing
		Legs    []leg
	}{measuringVersion, s.id, set, nil}
	for _, src := range s.sources {
		all.Legs = append(all.Legs, leg{src.leg.TraceKey, src.leg.TraceSum, src.duplicateOf != "", src.part, src.leg})
	}
	return fingerprint(all)
}

// inputs are the fingerprints of what a client's output rests on besides its
// exports.
func (r *refresher) inputs(client string) (in clientInputs) {
	p := r.practice
	row, of := p.Client(client), func(id string) bool { return id == client || id == "*" }
	in.Recordings = fingerprint(struct {
		Version, Pages int
		Schema         string
		Observing      Observing
		Name, Zone     string // on the sessions' pages
		Units          string // there, too
		Samples        bool
		Position       bool
	}{
		measuringVersion, pagesVersion, tables.SchemaVersion, observing(p.Settings),
		row.Name, p.Settings.Location.String(), p.Settings.ReviewUnits, p.Settings.WriteSamples, p.Settings.KeepPosition,
	})
	in.Facts = fingerprint(struct {
		Recordings   string
		Client       practice.Client
		Measurements []practice.Measurement
	}{in.Recordings, row, filter(p.Measurements, func(m practice.Measurement) bool { return of(m.Client) })})
	in.Bands = fingerprint(struct {
		Facts string
		Bands []practice.Band
	}{in.Facts, filter(p.Bands, func(b practice.Band) bool { return of(b.Client) })})
	in.Review = fingerprint(struct {
		Facts         string
		AsOf          calendar.Date
		Settings      practice.Settings
		Prescriptions []practice.Prescription
	}{in.Facts, r.asOf, p.Settings, filter(p.Prescriptions, func(x practice.Prescription) bool { return of(x.Client) })})
	return in
}

// judgedBy is the fingerprint of what a session's rows rest on.
func judgedBy(rec *sessionRecord, facts practice.Facts) uint64 {
	sum := sha256.Sum256(append(store.Encode(facts), rec.Inputs...))
	return binary.BigEndian.Uint64(sum[:])
}

func filter[T any](all []T, keep func(T) bool) []T {
	var kept []T
	for _, v := range all {
		if keep(v) {
			kept = append(kept, v)
		}
	}
	return kept
}
