package pipeline

import (
	"context"
	"encoding/hex"
	"errors"
	"fmt"
	"hash/crc32"
	"maps"
	"os"
	"path/filepath"
	"strings"
	"time"

	"golang.org/x/sync/errgroup"

	"boutwise/metrics"
	"boutwise/parsers"
	"boutwise/parsers/recording"
	"boutwise/pipeline/practice"
	"boutwise/pipeline/store"
)

// settleTime is how old a damaged export must be before its damage is
// believed: a younger one may still be on its way into the inbox.
const settleTime = time.Minute

// commitEvery is how many exports are read between two commits: a crash costs
// at most the work on so many.
const commitEvery = 200

// unknownSize is the size of a file that could not be read.
const unknownSize = -1

// ingester reads exports into the store.
type ingester struct {
	store        *store.Store
	practice     *practice.Practice
	inbox        string
	limits       parsers.Limits
	keepPosition bool
	now          time.Time
	workers      int
	progress     Progress

	claims   claims
	measured int // sessions measured while their trace was at hand
}

// read is a file of the inbox and what became of it.
type read struct {
	found
	record exportRecord
	early  []early
}

// announce marks the clients of files that are about to be read: should the run
// be cut short, the next one looks through what it drew for them.
func (in *ingester) announce(files []found) error {
	clients := map[string]bool{}
	for _, f := range files {
		clients[f.client()] = true
	}
	if len(clients) == 0 {
		return nil
	}
	return in.store.Update(func(tx *store.Tx) error {
		for client := range clients {
			if err := errors.Join(enrol(tx, []string{client}), markStale(tx, client)); err != nil {
				return err
			}
		}
		return nil
	})
}

// ingest reads the given files and commits what is known of them, batch by
// batch. Only a failing store ends it.
func (in *ingester) ingest(ctx context.Context, files []found) error {
	in.progress.Begin("reading exports", len(files))
	defer in.progress.End()
	results := make(chan read)
	group, ctx := errgroup.WithContext(ctx)
	group.SetLimit(in.workers + 2)
	group.Go(func() error { return in.commit(ctx, results, len(files)) })
	next := make(chan found)
	group.Go(func() error {
		defer close(next)
		for _, f := range files {
			select {
			case next <- f:
			case <-ctx.Done():
				return ctx.Err()
			}
		}
		return nil
	})
	for range in.workers {
		group.Go(func() error {
			for f := range next {
				r, err := in.readFile(f)
				if err != nil {
					return err
				}
				select {
				case results <- r:
				case <-ctx.Done():
					return ctx.Err()
				}
			}
			return nil
		})
	}
	return group.Wait()
}

// commit writes the records of n files in batches. A client whose export
// changed is marked, so that its tables are made anew.
func (in *ingester) commit(ctx context.Context, results <-chan read, n int) error {
	batch := make([]read, 0, commitEvery)
	for done := 0; done < n; {
		select {
		case r := <-results:
			batch = append(batch, r)
			done++
			in.progress.Step(1)
		case <-ctx.Done():
			return ctx.Err()
		}
		if len(batch) == commitEvery || done == n {
			if err := putExports(in.store, batch); err != nil {
				return err
			}
			for i := range batch {
				in.measured += len(batch[i].early)
			}
			batch = batch[:0]
		}
	}
	return nil
}

func putExports(s *store.Store, batch []read) error {
	return s.Update(func(tx *store.Tx) error {
		changed := map[string]bool{}
		for _, r := range batch {
			if err := putExport(tx, r.path, r.record); err != nil {
				return err
			}
			for _, e := range r.early {
				if err := e.put(tx, r.client()); err != nil {
					return err
				}
			}
			changed[r.client()] = true
		}
		for client := range changed {
			if err := markStale(tx, client); err != nil {
				return err
			}
		}
		return nil
	})
}

// readFile opens one file of the inbox. What is wrong with the file is in the
// record; an error means that the store failed.
func (in *ingester) readFile(f found) (read, error) {
	r := read{found: f, record: exportRecord{Version: readingVersion, Size: f.size, ModTimeNS: f.modTimeNS, Position: in.keepPosition, Limits: limitsSum(in.limits)}}
	record := &r.record
	path := filepath.Join(in.inbox, filepath.FromSlash(f.path))
	switch {
	case f.err != nil:
		record.Members = []memberRecord{refused(f.path, unreadable(f.err))}
		return r, nil
	case f.client() == "":
		record.Members = []memberRecord{refused(f.path, "lies in no client's folder; move it into inbox/CLIENT_ID/")}
		return r, nil
	}
	file, err := os.Open(path)
	if err != nil {
		// Rights that are put right later leave size and time as they are: a
		// size that no file has makes every run try again.
		record.Size = unknownSize
		record.Members = []memberRecord{refused(f.path, unreadable(err))}
		return r, nil
	}
	defer file.Close()
	for m := range parsers.Expand(f.path, file, f.size, in.limits) {
		member, traces, err := in.readMember(f, m)
		if err == nil {
			err = in.observeEarly(&r, member, traces)
		}
		if err != nil {
			return r, err
		}
		if failed := (*os.PathError)(nil); errors.As(m.Err, &failed) {
			record.Size = unknownSize // the disk failed, not the export
		}
		record.Members = append(record.Members, member)
	}
	if after := look(path, f.path); after.size != f.size || after.modTimeNS != f.modTimeNS {
		record.Members = []memberRecord{{Path: f.path, Status: statusDeferred, Reason: "still being written; left for the next run"}}
		// What was drawn from it stays noted: it may stand in the place of a page
		// that another export gave, which the refresh then draws anew.
	}
	return r, nil
}

// limitsSum tells limits apart: what was refused for them, or would be, is read
// again when they are others.
func limitsSum(l parsers.Limits) uint32 { return crc32.ChecksumIEEE(store.Encode(l)) }

// unreadable is an error of the file system or of a parser without the path
// that the record names already.
func unreadable(err error) string {
	var path *os.PathError
	if errors.As(err, &path) {
		return path.Op + ": " + path.Err.Error()
	}
	return err.Error()
}

func refused(path, reason string) memberRecord {
	return memberRecord{Path: path, Status: statusRefused, Reason: reason}
}

// readMember decodes one export and stores its traces; they are given for
// what can be done while they are at hand.
func (in *ingester) readMember(f found, m parsers.Member) (member memberRecord, traces []*metrics.Trace, err error) {
	if m.Err != nil {
		return in.damaged(f, refused(m.Path, unreadable(m.Err))), nil, nil
	}
	member = memberRecord{Path: m.Path, SHA256: hex.EncodeToString(m.SHA256[:]), Status: statusRead}
	if m.Flagged {
		member.Reason = "its name in the archive led out of it, could not be shown or was there before; this is what is left of it"
	}
	recordings, err := parsers.Parse(m.Data, in.limits)
	if err != nil {
		var parse *recording.ParseError
		if errors.As(err, &parse) {
			member.Format = string(parse.Format)
		}
		member.Status, member.Reason = statusRefused, err.Error()
		if mayMend(err, m.Data) {
			return in.damaged(f, member), nil, nil
		}
		return member, nil, nil
	}
	sound := true
	for _, rec := range recordings {
		tr, err := in.keep(f.client(), &member, rec)
		if err != nil {
			return member, nil, err
		}
		traces = append(traces, tr)
		sound = sound && !rec.Damaged
	}
	if sound {
		return member, traces, nil
	}
	return in.damaged(f, member), traces, nil
}

// mayMend tells a failure that may be that of a file which is still on its way:
// it ends early, or nothing of it has arrived but its size. What begins as
// something else, or is whole and holds nothing, will not become an export by
// waiting.
func mayMend(err error, data []byte) bool {
	if errors.Is(err, recording.ErrUnknownFormat) {
		return len(data) == 0 || data[0] == 0
	}
	return errors.Is(err, recording.ErrDamaged)
}

// damaged leaves a damaged export for the next run while it is too young to
// be believed.
func (in *ingester) damaged(f found, m memberRecord) memberRecord {
	age := in.now.Sub(time.Unix(0, f.modTimeNS))
	if m.Status == statusRead || age > settleTime || age < 0 {
		return m
	}
	m.Reason = "may still be on its way, left for the next run: " + m.Reason
	m.Status, m.Legs = statusDeferred, nil
	return m
}

// keep brings one recording to the grid, stores its trace, and adds to the
// member what is known of it.
func (in *ingester) keep(client string, m *memberRecord, rec *recording.Recording) (*metrics.Trace, error) {
	m.Format = string(rec.Format)
	for _, note := range rec.Salvage {
		m.Status = statusSalvaged
		if strings.Contains(m.Reason, note) {
			continue // every leg tells what was wrong with the file
		}
		if m.Reason != "" {
			m.Reason += "; "
		}
		m.Reason += note
	}
	leg, tr := gridded(rec, in.keepPosition)
	leg.TraceKey = fmt.Sprintf("%s-%d", m.SHA256[:16], rec.Leg)
	var err error
	leg.TraceSum, err = in.store.WriteTrace(client, leg.TraceKey, &tr)
	m.Legs = append(m.Legs, leg)
	return &tr, err
}

// gridded brings a recording to the grid and gives what is known of it beside
// the trace.
func gridded(rec *recording.Recording, keepPosition bool) (legRecord, metrics.Trace) {
	onFoot := rec.Sport == recording.Running || rec.Sport == recording.Walking
	tr, repairs := metrics.BuildTrace(columns(rec, keepPosition), onFoot)
	// Of the others only what was taken away is asked for.
	maps.DeleteFunc(repairs.Channel, func(name string, c metrics.ChannelRepairs) bool {
		return name != "heart_rate" && c.Total() == 0
	})
	leg := legRecord{
		Leg: rec.Leg, Sport: string(rec.Sport), Indoor: rec.Indoor, Device: rec.Device.Name,
		StartUnix: tr.StartUnix, Seconds: tr.N, Samples: rec.Samples.Len(),
		RatedExertion: rec.RatedExertion, Laps: laps(rec.Laps), Pauses: pauses(rec.Pauses), Repairs: repairs,
	}
	if rec.UTCOffset != nil {
		seconds := int(rec.UTCOffset.Seconds())
		leg.UTCOffsetS = &seconds
	}
	for _, spec := range metrics.ChannelSpecs {
		if n := metrics.CountValues(*spec.Column(&tr.Channels)).Seconds(); n > 0 {
			leg.Channels = append(leg.Channels, channelRecord{Name: spec.Name, Seconds: n})
		}
	}
	return leg, tr
}

// columns gives a recording's samples as the trace builder takes them.
func columns(rec *recording.Recording, keepPosition bool) metrics.Columns {
	s := &rec.Samples
	cols := metrics.Columns{TimeMS: s.TimeMS, Channels: metrics.Channels{
		HeartRate: s.HeartRate, Power: s.Power, Speed: s.Speed, Distance: s.Distance,
		Altitude: s.Altitude, Grade: s.Grade, Cadence: s.Cadence, Temperature: s.Temperature,
	}}
	if keepPosition && s.Position != nil {
		cols.Latitude, cols.Longitude = s.Position.Latitude, s.Position.Longitude
	}
	return cols
}

func pauses(in []recording.Pause) []pauseRecord {
	out := make([]pauseRecord, len(in))
	for i, p := range in {
		out[i] = pauseRecord{Start: float64(p.StartMS) / 1000, End: float64(p.EndMS) / 1000}
	}
	return out
}

// laps keeps what a bout can be compared with. A lap whose trigger the device
// did not tell counts as pressed.
func laps(in []recording.Lap) []lapRecord {
	out := make([]lapRecord, len(in))
	for i, lap := range in {
		out[i] = lapRecord{
			Start:   float64(lap.StartMS) / 1000,
			End:     float64(lap.EndMS) / 1000,
			Pressed: lap.Trigger == "manual" || lap.Trigger == "",
		}
	}
	return out
}
