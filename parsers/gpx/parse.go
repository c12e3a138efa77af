// Package gpx reads GPX 1.0 and 1.1 tracks through gpxgo.
//
// Heart rate, cadence, power, temperature and speed come from the common
// track-point extensions, matched by local name whatever the prefix, nested or
// flat, because writers agree on the names and on nothing else. A track is one
// recording, its segments parted by pauses, and so are tracks that are one
// outing ([recording.Join]); waypoints and routes hold nothing measured and are
// skipped. Where a track carries no speed, it is derived from
// positions and time; see [motion.Speed] for the smoothing.
package gpx

import (
	"encoding/xml"
	"errors"
	"fmt"
	"math"
	"strings"
	"time"

	"github.com/tkrajina/gpxgo/gpx"

	"boutwise/parsers/motion"
	"boutwise/parsers/recording"
	"boutwise/parsers/xmlstream"
)

// versionHint makes gpxgo read every document by its GPX 1.1 model, which has
// all that its 1.0 model has and extensions besides. It looks for the version
// in the document's first bytes only.
var versionHint = []byte(`<gpx version="1.1">`)

// Parse decodes one GPX document into one recording a track that has timed
// points.
func Parse(data []byte, lim recording.Limits) ([]*recording.Recording, error) {
	lim = lim.WithDefaults()
	in := &filter{in: xmlstream.New(data, recording.GPX, lim), lim: lim}
	doc, err := decode(in)
	if err != nil {
		return nil, err
	}
	recs := convert(doc, in)
	if len(recs) == 0 {
		return nil, refusal(doc, in)
	}
	recs = recording.Join(recs)
	salvage := in.in.Salvage()
	if n := in.untimed(); n > 0 {
		salvage = append(salvage, fmt.Sprintf("%d track points without a time were left out", n))
	}
	for leg, rec := range recs {
		rec.Leg = leg
		rec.Salvage, rec.Damaged = salvage, in.in.Damaged()
	}
	return recs, nil
}

// decode lets gpxgo read the filtered stream.
func decode(in *filter) (doc *gpx.GPX, err error) {
	err = recording.Contain(recording.GPX, "gpxgo", func() error {
		var err error
		doc, err = gpx.ParseDecoder(xml.NewTokenDecoder(in), versionHint)
		return err
	})
	// gpxgo stops at the root's end. Damage that ended the root early was seen;
	// a limit passed behind it counts as well.
	if err == nil {
		err = in.drain()
	}
	var located *recording.ParseError
	if err == nil || errors.As(err, &located) {
		return doc, err
	}
	return nil, in.in.Refuse(recording.ErrDamaged, err.Error())
}

// refusal says why a document gave no recording.
func refusal(doc *gpx.GPX, in *filter) error {
	switch {
	case len(doc.Tracks) == 0:
		return in.in.Refuse(recording.ErrNoActivity, "waypoints or routes only, no track")
	case len(in.points) == 0:
		return in.in.Refuse(recording.ErrNoSamples, "the tracks hold no points")
	}
	return in.in.Refuse(recording.ErrNoSamples, "no track point has a time")
}

// convert turns every track with timed points into a recording.
func convert(doc *gpx.GPX, in *filter) []*recording.Recording {
	var recs []*recording.Recording
	points := in.points
	for i := range doc.Tracks {
		track := &doc.Tracks[i]
		b := newBuilder()
		for j := range track.Segments {
			seg := track.Segments[j].Points
			// The filter noted one point for each that it passed on.
			b.segment(seg, points[:len(seg)])
			points = points[len(seg):]
		}
		if b.samples.Len() == 0 {
			continue
		}
		rec := b.finish()
		rec.Device.Name = in.creator
		// A track without a type may go on with the one next to it.
		if strings.TrimSpace(track.Type) != "" {
			rec.Sport, rec.Indoor = sport(track.Type)
		}
		recs = append(recs, rec)
	}
	return recs
}

// builder collects one track.
type builder struct {
	samples recording.Samples
	starts  []int // first sample of each segment but the first
	pauses  []recording.Pause

	utcOffset *time.Duration // of the first timed point
}

// newBuilder gives a builder with every column in place; finish removes those
// that stay empty.
func newBuilder() *builder {
	return &builder{samples: recording.Samples{
		HeartRate: []float64{}, Power: []float64{}, Speed: []float64{}, Altitude: []float64{},
		Cadence: []float64{}, Temperature: []float64{}, Position: &recording.Position{},
	}}
}

// segment adds a segment's timed points. Between two segments the device did
// not record: a pause.
func (b *builder) segment(seg []gpx.GPXPoint, facts []point) {
	s := &b.samples
	first := true
	for i := range seg {
		if !facts[i].timed {
			continue
		}
		if n := s.Len(); first && n > 0 {
			b.starts = append(b.starts, n)
			if last := s.TimeMS[n-1]; last < facts[i].ms {
				b.pauses = append(b.pauses, recording.Pause{StartMS: last, EndMS: facts[i].ms})
			}
		}
		first = false
		if s.Len() == 0 {
			b.utcOffset = facts[i].utcOffset
		}
		b.sample(&seg[i], facts[i])
	}
}

// sample adds one timed point.
func (b *builder) sample(p *gpx.GPXPoint, fact point) {
	s := &b.samples
	s.TimeMS = append(s.TimeMS, fact.ms)
	lat, lon, ele := math.NaN(), math.NaN(), math.NaN()
	if fact.placed {
		lat, lon = p.Latitude, p.Longitude
	}
	if p.Elevation.NotNull() {
		ele = p.Elevation.Value()
	}
	s.Position.Latitude = append(s.Position.Latitude, lat)
	s.Position.Longitude = append(s.Position.Longitude, lon)
	s.Altitude = append(s.Altitude, ele)
	values := readExtensions(p.Extensions.Nodes)
	s.HeartRate = append(s.HeartRate, values[heartRate])
	s.Power = append(s.Power, values[power])
	s.Speed = append(s.Speed, values[speed])
	s.Cadence = append(s.Cadence, values[cadence])
	s.Temperature = append(s.Temperature, values[temperature])
}

// finish drops the channels that no point carried and derives speed and
// distance.
func (b *builder) finish() *recording.Recording {
	b.samples.DropEmpty()
	motion.Complete(&b.samples, b.starts)
	return &recording.Recording{
		Format: recording.GPX, UTCOffset: b.utcOffset,
		Samples: b.samples, Pauses: b.pauses, Totals: recording.NoTotals(),
	}
}
