package pipeline

import (
	"fmt"
	"path/filepath"
	"time"

	"boutwise/metrics"
	"boutwise/pipeline/durable"
	"boutwise/pipeline/store"
	"boutwise/pipeline/tables"
)

// samplesPath is where a session's seconds lie. They are many and never
// change, so each session has a file of its own.
func samplesPath(client, session string) string {
	return filepath.Join("out", "parquet", tables.Samples.Name, partition(client)+"-"+session+".parquet")
}

// putSamples writes a session's trace as rows, where practice.toml asks for
// them. The trace is read only when it changed.
func (w *work) putSamples(s *session, rec *sessionRecord, read func() (*metrics.Trace, error)) error {
	set := w.practice.Settings
	if !set.WriteSamples {
		return nil
	}
	path := samplesPath(w.client, s.id)
	inputs := fingerprint([]any{tables.SchemaVersion, rec.Inputs, set.KeepPosition})
	sound, err := w.out.sound(path, func(known outputRecord) bool { return known.Inputs == inputs })
	if err != nil || sound {
		return err
	}
	tr, err := read()
	if err != nil {
		return err
	}
	file, err := tables.EncodeParquet(tables.Samples, sampleRows(tr, w.client, s.id, set.KeepPosition))
	if err != nil {
		return err
	}
	return w.out.putDrawn(path, inputs, file)
}

// withdrawSamples removes the samples table when it is no longer asked for.
func (r *refresher) withdrawSamples() error {
	dir := filepath.Dir(samplesPath("", ""))
	if r.practice.Settings.WriteSamples {
		return nil
	}
	// A run that was cut short may have written some and noted none.
	if err := durable.Delete(filepath.Join(r.practice.Dir, dir)); err != nil {
		return fmt.Errorf("output: %w", err)
	}
	prefix, any := dir+string(filepath.Separator), false
	err := r.store.View(func(tx *store.Tx) error {
		return store.Each(tx, store.Outputs, prefix, func(string, outputRecord) error {
			any = true
			return nil
		})
	})
	if err != nil || !any {
		return err
	}
	return r.store.Update(func(tx *store.Tx) error { return store.DeletePrefix(tx, store.Outputs, prefix) })
}

// sampleRows gives one row a second, paused ones too: missing is missing.
func sampleRows(tr *metrics.Trace, client, session string, position bool) []tables.Sample {
	at := func(col []float64, i int) *float64 {
		if col == nil {
			return nil
		}
		return tables.Num(col[i])
	}
	rows := make([]tables.Sample, tr.N)
	for i := range rows {
		rows[i] = tables.Sample{
			ClientID: client, SessionID: session,
			TimeUTC: time.Unix(tr.StartUnix+int64(i), 0).UTC(), OffsetS: int32(i),
			HeartRate: at(tr.HeartRate, i), Power: at(tr.Power, i), Speed: at(tr.Speed, i),
			Distance: at(tr.Distance, i), Altitude: at(tr.Altitude, i), Grade: at(tr.Grade, i),
			Cadence: at(tr.Cadence, i), Temperature: at(tr.Temperature, i),
		}
		if position {
			rows[i].Latitude, rows[i].Longitude = at(tr.Latitude, i), at(tr.Longitude, i)
		}
	}
	return rows
}
