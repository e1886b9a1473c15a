package table

import (
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"

	"joulewell/calib/fit"
	"joulewell/energy/quantity"
)

// group sums up a set, with notes on what stands out.
func (s *set) group(t *Table) Group {
	g := Group{
		Label: s.label, Bench: s.bench, Spring: s.spring, Bob: s.bob, Virtual: s.virtual > 0,
		Trials: len(s.counted), LeftOut: s.leftOut, Columns: []Column{},
	}
	for i, q := range quantities {
		if len(s.samples[i].values) == 0 {
			continue
		}
		c := s.samples[i].column(q)
		for k, at := range c.Outliers {
			c.Outliers[k] = s.places[at]
		}
		g.Columns = append(g.Columns, c)
		s.remark(t, q, &s.samples[i], &c)
	}
	if s.leftOut > 0 {
		t.note("%s: left out, as not counting: %d of %s", s.label, s.leftOut, quantity.Count(s.leftOut+len(s.counted), "trial"))
	}
	return g
}

// column works out the statistics of a quantity; outliers are positions among the counted
// trials.
func (m *sample) column(q measured) Column {
	c := Column{
		Key: q.key, Label: q.label, Unit: q.kind.Unit(), N: len(m.values), Mean: m.values[0],
		UShared: together(m.shared), Outliers: []int{},
	}
	if c.N == 1 { // what the trial itself states is all that is known
		c.UCombined = math.Hypot(m.own[0], c.UShared)
		c.K, _ = fit.Coverage(Probability, math.Inf(1))
		c.U = c.K * c.UCombined
		return c
	}
	r, _ := fit.Repeat(m.values) // more than one, all finite
	c.Mean, c.SD, c.UMean = r.Mean, &r.SD, &r.U
	c.UCombined = math.Hypot(r.U, c.UShared)
	dof := math.Inf(1)
	if r.U > 0 {
		dof = r.DoF() * math.Pow(c.UCombined/r.U, 4)
	}
	c.K, _ = fit.Coverage(Probability, dof) // of at least one degree of freedom
	c.U = c.K * c.UCombined
	if !math.IsInf(dof, 0) {
		c.DoF = &dof
	}
	if odd, err := fit.Grubbs(m.values, suspect, fit.EitherSide); err == nil && odd.Outlier && c.N >= leastOdd {
		c.Outliers = append(c.Outliers, m.at[odd.Index])
	}
	c.Trend = m.trend()
	return c
}

// trend fits a line over the order of the trials; nil where there is none to be told.
func (m *sample) trend() *Trend {
	if len(m.values) < 3 {
		return nil
	}
	points := make([]fit.Point, len(m.values))
	for i, v := range m.values {
		points[i] = fit.Point{X: float64(m.at[i]), Y: v}
	}
	line, err := fit.Ordinary(points, fit.Line)
	if err != nil {
		return nil
	}
	t := Trend{PerTrial: line.Coefficients[1], U: line.U(1), P: 1}
	if t.U > 0 {
		t.P = fit.EitherTail(t.PerTrial/t.U, float64(line.DoF))
	}
	return &t
}

// remark notes what stands out in a column.
func (s *set) remark(t *Table, q measured, m *sample, c *Column) {
	for _, place := range c.Outliers {
		t.note("%s, %s: trial %d (run %s) stands apart from the others by Grubbs' test (5 %%): look for a reason; it is not left out",
			s.label, q.label, place+1, s.counted[slices.Index(s.places, place)].Run)
	}
	if c.Trend != nil && c.Trend.P < drifting {
		t.note("%s, %s: it changes by %s a trial (p = %s): something drifts, and the scatter about the mean holds that too",
			s.label, q.label, q.kind.Both(c.Trend.PerTrial, c.K*c.Trend.U), probability(c.Trend.P))
	}
	if p := m.explained(c); p < tooWide {
		t.note("%s, %s: the trials scatter by %s (standard deviation), their readings explain %s: trials differ among themselves",
			s.label, q.label, q.kind.Text(*c.SD, *c.SD), q.kind.Text(m.stated(), m.stated()))
	}
	if c.N == 2 {
		t.note("%s, %s: two trials say little of their scatter (k = %.1f): make at least four", s.label, q.label, c.K)
	}
}

// stated is the usual standard uncertainty of a trial that is its own.
func (m *sample) stated() float64 {
	squares := 0.0
	for _, u := range m.own {
		squares += u * u
	}
	return math.Sqrt(squares / float64(len(m.own)))
}

// explained is the probability that the trials' own uncertainties make them scatter as
// much; 1 where nobody can say.
func (m *sample) explained(c *Column) float64 {
	u := m.stated()
	if c.N < 3 || m.bounded || !(u > 0) {
		return 1
	}
	spare := float64(c.N - 1)
	return distuv.ChiSquared{K: spare}.Survival(spare * *c.SD * *c.SD / (u * u))
}

// probability writes a probability to two figures.
func probability(p float64) string {
	if p < 1e-4 {
		return "less than 0.0001"
	}
	text := strconv.FormatFloat(p, 'g', 2, 64)
	if strings.Contains(text, "e") {
		text = strconv.FormatFloat(p, 'f', 5, 64)
	}
	return text
}
