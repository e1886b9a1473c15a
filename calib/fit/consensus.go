package fit

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// Result is what one of several has found of the same quantity.
type Result struct {
	Value float64 // [any]
	U     float64 // [any] standard uncertainty that is its own, > 0
}

// Consensus is what several results of one quantity say together, and whether they may be
// said to be of one quantity at all.
type Consensus struct {
	Mean       float64   // [any] weighted mean
	U          float64   // [any] its standard uncertainty if the results agree: Own and Shared together
	Own        float64   // [any] by what is each result's own, or shared by some
	Shared     float64   // [any] by what all share, which more results would not lessen
	DoF        float64   // [1] effective degrees of freedom of U
	Weights    []float64 // [1] of the results, their sum is 1
	ChiSquared float64   // [1] of the results about the mean
	Spare      int       // [1] results less one
	P          float64   // [1] probability of as large a ChiSquared where the results are of one quantity
	Birge      float64   // [1] external over internal uncertainty, sqrt(ChiSquared/Spare); about 1 if they agree
	External   float64   // [any] U with Own widened by the Birge ratio where that is above 1
}

// Agree weighs results of one quantity by their uncertainties and tests whether they
// agree: by the ratio of Birge (Phys. Rev. 40 (1932) 207) and by chi-squared, which is
// given the distribution F where the uncertainties come from one scatter with so many
// degrees of freedom ([Pool]; +Inf: they were stated beforehand). Sources are what some or
// all share: results that share much count for fewer. It wants two results or more.
//
// Weights are those of generalised least squares ([Stated]) with a source's effects made
// alike. Effects as they are would make the best mean lie outside all results where a
// source acts in proportion to them (Peelle's puzzle, 1987; from memory), which is right
// only if sources are known better than they ever are. The uncertainty, and chi-squared,
// take effects as they are.
//
// Do not weigh by scatters that each come from a few readings: with five, intervals said
// to hold 95 % hold 83 to 88 (own Monte Carlo), and an unweighted mean is nearer the
// truth. Pool them.
func Agree(results []Result, dof float64, sources ...Source) (Consensus, error) {
	const doing = "find the weighted mean"
	if len(results) < 2 {
		return Consensus{}, fmt.Errorf("%s: %d results: at least 2 are needed", doing, len(results))
	}
	if !(dof > 0) {
		return Consensus{}, fmt.Errorf("%s: %g degrees of freedom: must be positive, or +Inf", doing, dof)
	}
	rows, y, u := make([][]float64, len(results)), make([]float64, len(results)), make([]float64, len(results))
	for i, r := range results {
		rows[i], y[i], u[i] = []float64{1}, r.Value, r.U
	}
	found, err := Stated(rows, y, u, sources)
	if err != nil {
		return Consensus{}, fmt.Errorf("%s: %w", doing, err)
	}
	c := Consensus{ChiSquared: found.SumSquares, Spare: found.Spare, P: found.Agreement()}
	if c.Weights, err = weights(rows, u, sources); err != nil {
		return Consensus{}, fmt.Errorf("%s: %w", doing, err)
	}
	c.weigh(y, u, dof, sources)
	ratio := c.ChiSquared / float64(c.Spare)
	if dof < normalFrom {
		c.P = distuv.F{D1: float64(c.Spare), D2: dof}.Survival(ratio)
	}
	c.Birge = math.Sqrt(ratio)
	c.External = math.Hypot(c.Own*max(1, c.Birge), c.Shared)
	return c, nil
}

// weigh fills in the mean and its uncertainty.
func (c *Consensus) weigh(y, u []float64, dof float64, sources []Source) {
	c.Mean = dot(c.Weights, y)
	scatter := 0.0
	for i, w := range c.Weights {
		scatter = math.Hypot(scatter, w*u[i])
	}
	c.Own = scatter
	for _, s := range sources {
		effect := dot(c.Weights, s.Effects)
		if slices.Contains(s.Effects, 0) {
			c.Own = math.Hypot(c.Own, effect)
		} else {
			c.Shared = math.Hypot(c.Shared, effect)
		}
	}
	c.U = math.Hypot(c.Own, c.Shared)
	c.DoF = dof * math.Pow(c.U/scatter, 4)
}

// weights are by how much the mean follows each result.
func weights(rows [][]float64, u []float64, sources []Source) ([]float64, error) {
	w, one := make([]float64, len(u)), make([]float64, len(u))
	even := make([]Source, len(sources))
	for k, s := range sources {
		even[k] = levelled(s)
	}
	for i := range u {
		one[i] = 1
		mean, err := Stated(rows, one, u, even)
		if err != nil {
			return nil, err
		}
		w[i], one[i] = mean.Values[0], 0
	}
	return w, nil
}

// levelled is a source that acts alike where it acts.
func levelled(s Source) Source {
	sum, n := 0.0, 0.0
	for _, e := range s.Effects {
		if e != 0 {
			sum += math.Abs(e)
			n++
		}
	}
	even := Source{s.Name, make([]float64, len(s.Effects))}
	for i, e := range s.Effects {
		if e != 0 {
			even.Effects[i] = sum / n
		}
	}
	return even
}

// Expanded returns the half width of the interval that holds the mean with a probability,
// and its coverage factor. Where the results contradict each other (P below one less that
// probability) they say themselves how unsure they are: then it is that of External.
func (c *Consensus) Expanded(probability float64) (u, coverage float64, err error) {
	u, dof := c.U, c.DoF
	if c.P < 1-probability && c.Birge > 1 {
		u = c.External
		dof = float64(c.Spare) * math.Pow(u/(c.Own*c.Birge), 4)
	}
	coverage, err = Coverage(probability, dof)
	return coverage * u, coverage, err
}

// Pool returns the standard deviation of one reading that several sets of them have in
// common, with its degrees of freedom, and the probability of spreads as unlike as theirs
// where they have one in common (Bartlett, Proc. R. Soc. A 160 (1937) 268, for normal
// readings; NIST/SEMATECH e-Handbook 1.3.5.7). Sets of one reading say nothing of it. It
// wants a set of two or more, not all alike.
func Pool(sets []Repeats) (sd, dof, alike float64, err error) {
	var squares, logs, inverse, counted float64
	for _, r := range sets {
		if r.N < 2 {
			continue
		}
		d := r.DoF()
		squares += d * r.SD * r.SD
		dof += d
		logs += d * math.Log(r.SD*r.SD)
		inverse += 1 / d
		counted++
	}
	if !(squares > 0) || !finite(squares) {
		return 0, 0, 0, fmt.Errorf("pool the scatter of %d sets of readings: no set has two readings that differ", len(sets))
	}
	sd = math.Sqrt(squares / dof)
	if counted < 2 {
		return sd, dof, 1, nil
	}
	bartlett := (dof*math.Log(sd*sd) - logs) / (1 + (inverse-1/dof)/(3*(counted-1)))
	return sd, dof, distuv.ChiSquared{K: counted - 1}.Survival(bartlett), nil
}
