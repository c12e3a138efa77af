package stats

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// ErrTooFew and ErrDegenerate tell why a least-squares fit was refused.
var (
	ErrTooFew     = errors.New("fewer points than coefficients")
	ErrDegenerate = errors.New("the terms do not determine the coefficients")
)

// Fit is an ordinary least-squares fit.
type Fit struct {
	Coef   []float64   // one coefficient a term, in the terms' order
	StdErr []float64   // their standard errors; NaN with no degrees of freedom left
	Cov    [][]float64 // covariance of the coefficients
	RSS    float64     // residual sum of squares
	SD     float64     // residual standard deviation, divisor DF; NaN when DF is 0
	R2     float64     // share of the variation explained; see [LeastSquares]
	N, DF  int         // points, and degrees of freedom N − len(Coef)
}

// LeastSquares fits y as a weighted sum of the terms, each a column as long as
// y. An intercept is a term of ones. Points with a NaN in any column are left
// out. R2 is measured about the mean of y when some term is constant, about
// zero otherwise, as NIST does for its fits through the origin.
//
// The error is [ErrTooFew] or [ErrDegenerate]. The fit goes through a QR
// decomposition of the terms scaled to unit length, which keeps a quadratic in
// 10⁶ (NIST's Pontius) to ten digits.
func LeastSquares(y []float64, terms ...[]float64) (Fit, error) {
	rows := completeRows(y, terms)
	n, k := len(rows), len(terms)
	if k == 0 || n < k {
		return Fit{}, ErrTooFew
	}

	design, scale, constant := scaledDesign(rows, terms)
	target := mat.NewVecDense(n, nil)
	for i, row := range rows {
		target.SetVec(i, y[row])
	}

	var qr mat.QR
	qr.Factorize(design)
	// Scaled terms leave 10¹² for real collinearity; beyond that no digit of
	// a coefficient can be trusted.
	const maxCondition = 1e12
	if c := qr.Cond(); math.IsNaN(c) || c > maxCondition {
		return Fit{}, ErrDegenerate
	}
	var solution mat.VecDense
	if err := qr.SolveVecTo(&solution, false, target); err != nil {
		return Fit{}, ErrDegenerate
	}

	fit := Fit{N: n, DF: n - k}
	var residual mat.VecDense
	residual.MulVec(design, &solution)
	residual.SubVec(target, &residual)
	fit.RSS = mat.Dot(&residual, &residual)
	fit.R2 = explained(target.RawVector().Data, fit.RSS, constant)
	fit.SD = math.NaN()
	if fit.DF > 0 {
		fit.SD = math.Sqrt(fit.RSS / float64(fit.DF))
	}
	if err := fit.setCoefficients(&qr, &solution, scale); err != nil {
		return Fit{}, err
	}
	return fit, nil
}

// LinearFit fits the line y = Coef[0] + Coef[1]·x.
func LinearFit(x, y []float64) (Fit, error) {
	ones := make([]float64, len(x))
	for i := range ones {
		ones[i] = 1
	}
	return LeastSquares(y, ones, x)
}

// Value is the fitted value where the terms have the given values.
func (f Fit) Value(at ...float64) float64 {
	sum := 0.0
	for i, v := range at {
		sum += f.Coef[i] * v
	}
	return sum
}

// ValueStdErr is the standard error of [Fit.Value] as an estimate of the mean
// response: the scatter of a single new point is not in it.
func (f Fit) ValueStdErr(at ...float64) float64 {
	variance := 0.0
	for i, vi := range at {
		for j, vj := range at {
			variance += vi * f.Cov[i][j] * vj
		}
	}
	return math.Sqrt(max(variance, 0))
}

// Quantile of Student's t with the fit's degrees of freedom: the factor that
// turns a standard error into the half-width of a two-sided interval at the
// given confidence, 0.95 say. NaN with no degrees of freedom left.
func (f Fit) Quantile(confidence float64) float64 {
	if f.DF < 1 || !(confidence > 0 && confidence < 1) {
		return math.NaN()
	}
	t := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(f.DF)}
	return t.Quantile(0.5 + confidence/2)
}

// completeRows lists the rows without a NaN.
func completeRows(y []float64, terms [][]float64) []int {
	var rows []int
	for _, term := range terms {
		if len(term) != len(y) {
			panic("stats: columns of different length")
		}
	}
next:
	for i := range y {
		if math.IsNaN(y[i]) {
			continue
		}
		for _, term := range terms {
			if math.IsNaN(term[i]) {
				continue next
			}
		}
		rows = append(rows, i)
	}
	return rows
}

// scaledDesign builds the matrix of the terms, each divided by its Euclidean
// length, and tells whether one of them is constant.
func scaledDesign(rows []int, terms [][]float64) (design *mat.Dense, scale []float64, constant bool) {
	design = mat.NewDense(len(rows), len(terms), nil)
	scale = make([]float64, len(terms))
	column := make([]float64, len(rows))
	for j, term := range terms {
		same := true
		for i, row := range rows {
			column[i] = term[row]
			same = same && column[i] == column[0]
		}
		scale[j] = mat.Norm(mat.NewVecDense(len(column), column), 2)
		constant = constant || (same && column[0] != 0)
		for i, v := range column {
			design.Set(i, j, v/scale[j])
		}
	}
	return design, scale, constant
}

// explained is R²: one less the residual over the total variation.
func explained(y []float64, rss float64, centred bool) float64 {
	total := 0.0
	if centred {
		_, total, _ = moments(y)
	} else {
		for _, v := range y {
			total += v * v
		}
	}
	if total == 0 {
		return math.NaN()
	}
	return 1 - rss/total
}

// setCoefficients undoes the scaling and derives the covariance
// SD²·(RᵀR)⁻¹ from the triangular factor.
func (f *Fit) setCoefficients(qr *mat.QR, solution *mat.VecDense, scale []float64) error {
	k := len(scale)
	var r mat.Dense
	qr.RTo(&r)
	var inverse mat.Dense
	if err := inverse.Inverse(r.Slice(0, k, 0, k)); err != nil {
		return ErrDegenerate
	}
	var unscaled mat.Dense
	unscaled.Mul(&inverse, inverse.T())

	f.Coef = make([]float64, k)
	f.StdErr = make([]float64, k)
	f.Cov = make([][]float64, k)
	for i := range k {
		f.Coef[i] = solution.AtVec(i) / scale[i]
		// An infinite y gets this far.
		if math.IsNaN(f.Coef[i]) || math.IsInf(f.Coef[i], 0) {
			return ErrDegenerate
		}
		f.Cov[i] = make([]float64, k)
		for j := range k {
			f.Cov[i][j] = f.SD * f.SD * unscaled.At(i, j) / (scale[i] * scale[j])
		}
		f.StdErr[i] = math.Sqrt(f.Cov[i][i])
	}
	return nil
}
