package chart

// CUSUM is the two-sided tabular chart of cumulative sums. With z in standard deviations
// off the mean,
//
//	high_i = max(0, high_(i-1) + z_i - slack)
//	low_i  = max(0, low_(i-1)  - z_i - slack)
//
// Half the shift that matters is the best slack against it.
//
// Source: NIST/SEMATECH e-Handbook 6.3.2.3.
type CUSUM struct {
	level               Level
	slack, decision     float64
	high, low           float64
	n                   int
	sinceHigh, sinceLow int
}

// NewCUSUM starts a chart. Slack and decision are in standard deviations of one value,
// the first zero or above, the second above.
func NewCUSUM(l Level, slack, decision float64) (CUSUM, error) {
	const doing = "start a chart of cumulative sums"
	if err := l.check(doing); err != nil {
		return CUSUM{}, err
	}
	if err := checkSum(doing, slack, decision); err != nil {
		return CUSUM{}, err
	}
	return CUSUM{level: l, slack: slack, decision: decision}, nil
}

// Add takes the next value and tells which sum is now beyond the decision.
func (c *CUSUM) Add(x float64) Side {
	z := (x - c.level.Mean) / c.level.SD
	if c.high == 0 {
		c.sinceHigh = c.n
	}
	if c.low == 0 {
		c.sinceLow = c.n
	}
	c.n++
	c.high = max(0, c.high+z-c.slack)
	c.low = max(0, c.low-z-c.slack)
	switch {
	case c.high > c.decision:
		return High
	case c.low > c.decision:
		return Low
	}
	return Within
}

// Sums returns the two sums [value], both zero or positive.
func (c *CUSUM) Sums() (low, high float64) { return c.low * c.level.SD, c.high * c.level.SD }

// Decision returns what a sum must pass to signal [value].
func (c *CUSUM) Decision() float64 { return c.decision * c.level.SD }

// Since returns the index of the value with which the sum on that side last left zero: an
// estimate of when the change came.
func (c *CUSUM) Since(s Side) int {
	if s == Low {
		return c.sinceLow
	}
	return c.sinceHigh
}
