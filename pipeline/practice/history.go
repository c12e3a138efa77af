package practice

import (
	"math"
	"slices"
	"sort"

	"boutwise/metrics"
)

// history is all that is dated of one client, ready to be looked up by day.
type history struct {
	client        Client
	measured      map[Quantity]timeline
	bands         map[BandSignal][]bandHistory // by date
	prescriptions map[SessionKind][]Prescription
}

// bandHistory is one dated set of bands, unresolved.
type bandHistory struct {
	from  Date
	unit  string
	names []string
	lower []float64
}

// timeline is one quantity of one client over time, by date.
type timeline struct {
	dates  []Date
	values []float64
}

// on is the value in force: the latest dated on or before the day, before the
// first one the first one; NaN when there is none.
func (t timeline) on(day Date) float64 {
	if len(t.dates) == 0 {
		return math.NaN()
	}
	i, found := slices.BinarySearch(t.dates, day)
	if !found {
		i = max(0, i-1)
	}
	return t.values[i]
}

// buildHistories sorts everything dated by client.
func (p *Practice) buildHistories() map[string]*history {
	all := map[string]*history{}
	of := func(id string) *history {
		if all[id] == nil {
			all[id] = &history{
				client:        Client{ID: id},
				measured:      map[Quantity]timeline{},
				bands:         map[BandSignal][]bandHistory{},
				prescriptions: map[SessionKind][]Prescription{},
			}
		}
		return all[id]
	}
	for _, c := range p.Clients {
		of(c.ID).client = c
	}
	for _, m := range p.Measurements {
		h := of(m.Client)
		t := h.measured[m.Quantity]
		t.dates, t.values = append(t.dates, m.Date), append(t.values, m.Value)
		h.measured[m.Quantity] = t
	}
	for i, b := range p.Bands {
		h := of(b.Client)
		sets := h.bands[b.Signal]
		if i == 0 || !sameSet(p.Bands[i-1], b) {
			sets = append(sets, bandHistory{from: b.EffectiveFrom, unit: b.Unit})
		}
		last := &sets[len(sets)-1]
		last.names, last.lower = append(last.names, b.Name), append(last.lower, b.Lower)
		h.bands[b.Signal] = sets
	}
	for _, r := range p.Prescriptions {
		h := of(r.Client)
		h.prescriptions[r.Session] = append(h.prescriptions[r.Session], r)
	}
	return all
}

// nothing is the history of a client of whom nothing is known.
var nothing = &history{}

// history finds a client's history.
func (p *Practice) history(client string) *history {
	if h := p.histories[client]; h != nil {
		return h
	}
	return nothing
}

// LastMeasured is the day of the latest measurement of a quantity on or before
// a day; measured is false where there is none.
func (p *Practice) LastMeasured(client string, quantity Quantity, day Date) (on Date, measured bool) {
	dates := p.history(client).measured[quantity].dates
	i := latestFrom(len(dates), func(i int) Date { return dates[i] }, day)
	if i < 0 {
		return 0, false
	}
	return dates[i], true
}

// Client is the client's row of clients.csv; without one, just the id.
func (p *Practice) Client(id string) Client {
	c := p.history(id).client
	c.ID = id
	return c
}

// PrescriptionsOn lists what is prescribed to a client on a day, at most one
// of each kind, in the order base, base with bursts, intervals.
func (p *Practice) PrescriptionsOn(client string, day Date) []Prescription {
	var in []Prescription
	for _, kind := range sessionKinds {
		if row, asked := p.Prescribed(client, SessionKind(kind), day); asked {
			in = append(in, row)
		}
	}
	return in
}

// Prescribed is what is prescribed to a client of one kind on a day; asked is
// false where nothing is.
func (p *Practice) Prescribed(client string, kind SessionKind, day Date) (row Prescription, asked bool) {
	rows := p.history(client).prescriptions[kind]
	i := latestFrom(len(rows), func(i int) Date { return rows[i].EffectiveFrom }, day)
	if i < 0 || rows[i].PerWeek == 0 {
		return Prescription{}, false
	}
	return rows[i], true
}

// PrescriptionsOf lists all that was ever prescribed to a client, by kind and
// date. The rows are shared and must not be changed.
func (p *Practice) PrescriptionsOf(client string) []Prescription {
	h := p.history(client)
	var all []Prescription
	for _, kind := range sessionKinds {
		all = append(all, h.prescriptions[SessionKind(kind)]...)
	}
	return all
}

// latestFrom is the index of the last of n dated things that holds on a day,
// −1 when all begin later. Dates ascend.
func latestFrom(n int, from func(i int) Date, day Date) int {
	return sort.Search(n, func(i int) bool { return from(i) > day }) - 1
}

// FactsOn is what is known of a client on a day. It is cheap, and the same
// arguments always give the same facts.
func (p *Practice) FactsOn(client string, day Date) Facts {
	h := p.history(client)
	f := Facts{
		Client:               client,
		Age:                  math.NaN(),
		Sex:                  h.client.Sex,
		HRLimitingMedication: h.client.HRLimitingMedication,
		BodyMass:             h.measured[BodyMass].on(day),
		RestingHR:            h.measured[RestingHR].on(day),
		MaxHR:                h.measured[MaxHR].on(day),
		ThresholdHR:          h.measured[ThresholdHR].on(day),
		ThresholdPower:       h.measured[ThresholdPower].on(day),
		CriticalPower:        h.measured[CriticalPower].on(day),
		VO2Max:               h.measured[VO2Max].on(day),
	}
	if h.client.BirthYear > 0 {
		f.Age = float64(day.Time().Year() - h.client.BirthYear)
	}
	if math.IsNaN(f.MaxHR) && !math.IsNaN(f.Age) {
		f.MaxHR, f.MaxHREstimated = metrics.TanakaMaxHR(f.Age), true
	}
	for _, signal := range []BandSignal{BandHeartRate, BandPower, BandSpeed} {
		if set, ok := p.bandsOn(h, signal, day, f); ok {
			f.Bands = append(f.Bands, set)
		}
	}
	return f
}
