package bouts

import "math"

// posterior holds how likely each centre of one boundary is under each form of
// rise, up to a common factor.
type posterior struct {
	from, apart float64            // s: the first centre and the distance between two
	width       int                // how many of the forms were tried
	shares      []float64          // a row of them a centre
	forms       [riseForms]float64 // their sums

	// fallback stands where there is nothing to weigh.
	fallback placed
}

const (
	// habitual is how many boundaries' worth of belief there is in the usual
	// rises, beside those seen in the session.
	habitual = 2.0

	// Most changes of work take some seconds: the belief in a rise falls by e
	// for every usualRise seconds of its length, and stagedShare of the rises are
	// in two stages. From memory.
	usualRise   = 5.0
	stagedShare = 0.5

	// commonRounds of taking turns between the forms' shares and the
	// boundaries' forms are enough.
	commonRounds = 5
)

// usualForms are the shares of the forms that are believed in beforehand.
func usualForms() [riseForms]float64 {
	var shares [riseForms]float64
	sum := 0.0
	for f, r := range rises {
		shares[f] = math.Exp(-r.length / usualRise)
		if r.staged {
			shares[f] *= stagedShare
		}
		sum += shares[f]
	}
	for f := range shares {
		shares[f] /= sum
	}
	return shares
}

// commonForms are the shares of the forms in one session: a client, a trainer
// and a device have one way of changing the load, and what the clear boundaries
// show of it places the unclear ones. By expectation and maximisation (Dempster,
// Laird and Rubin 1977, J R Stat Soc B 39:1).
func commonForms(all []posterior) [riseForms]float64 {
	usual := usualForms()
	shares := usual
	for range commonRounds {
		var seen [riseForms]float64
		n := 0.0
		for k := range all {
			total := 0.0
			for f, v := range all[k].forms {
				total += shares[f] * v
			}
			if !(total > 0) {
				continue
			}
			for f, v := range all[k].forms {
				seen[f] += shares[f] * v / total
			}
			n++
		}
		for f := range shares {
			shares[f] = (habitual*usual[f] + seen[f]) / (habitual + n)
		}
	}
	return shares
}

// placed is the median of the posterior over the centre and its 90 % interval,
// given the shares of the forms and a belief in each centre beforehand (nil is
// one as good as another).
func (q *posterior) placed(shares *[riseForms]float64, belief func(at float64) float64) placed {
	if len(q.shares) == 0 {
		return q.fallback
	}
	weights := make([]float64, len(q.shares)/q.width)
	total := 0.0
	for k := range weights {
		for f, v := range q.shares[k*q.width : (k+1)*q.width] {
			weights[k] += shares[f] * v
		}
		if belief != nil && weights[k] > 0 {
			weights[k] *= belief(q.from + float64(k)*q.apart)
		}
		total += weights[k]
	}
	low := crossing(weights, total*0.05)
	mid := crossing(weights, total*0.5)
	high := crossing(weights, total*0.95)
	return placed{
		at:   q.from + mid*q.apart,
		half: max(leastHalf, max(mid-low, high-mid)*q.apart),
	}
}

// crossing is where the running sum of the weights passes a mark, in steps
// from the first weight's centre, linear within a weight's own cell.
func crossing(weights []float64, mark float64) float64 {
	sum := 0.0
	for k, v := range weights {
		if sum+v >= mark && v > 0 {
			return float64(k) - 0.5 + (mark-sum)/v
		}
		sum += v
	}
	return float64(len(weights) - 1)
}
