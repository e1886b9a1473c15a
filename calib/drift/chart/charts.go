package chart

import (
	"fmt"
	"math"
)

// Side says where a value lies.
type Side int

// The sides.
const (
	Low    Side = -1
	Within Side = 0
	High   Side = 1
)

func beyond(z, width float64) Side {
	switch {
	case z > width:
		return High
	case z < -width:
		return Low
	}
	return Within
}

// Rule names what signals.
type Rule string

// The rules, in plain words.
const (
	None    Rule = ""
	Single  Rule = "one value beyond the limits"
	Average Rule = "moving average beyond its limits"
	Sum     Rule = "cumulative sum beyond its decision"
)

// Plan holds the constants of the three charts.
type Plan struct {
	Limit        float64 // [1] of one value, in its standard deviations
	Weight       float64 // [1] of the newest value in the moving average, in (0, 1]
	AverageLimit float64 // [1] of the moving average, in its own standard deviations
	Slack        float64 // [1] off each step of the cumulative sums, in standard deviations of one value
	Decision     float64 // [1] of the cumulative sums, likewise
}

var (
	// Usual is for values taken by hand, some a week: each chart gives a false alarm
	// once in 370 to 500 values, the three together once in 200.
	Usual = Plan{Limit: 3, Weight: 0.2, AverageLimit: 2.962, Slack: 0.5, Decision: 5}
	// Idle is for values that come by themselves, a hundred a day: once in some 15,000.
	Idle = Plan{Limit: 4, Weight: 0.1, AverageLimit: 3.87, Slack: 0.5, Decision: 8.5}
)

// Check returns nil, or says which constant cannot be.
func (p Plan) Check() error {
	const doing = "plan the charts"
	if !(p.Limit > 0) || math.IsInf(p.Limit, 0) {
		return fmt.Errorf("%s: limit %g: must be finite and positive", doing, p.Limit)
	}
	if err := checkAverage(doing, p.Weight, p.AverageLimit); err != nil {
		return err
	}
	return checkSum(doing, p.Slack, p.Decision)
}

func checkAverage(doing string, weight, limit float64) error {
	if !(weight > 0 && weight <= 1) || !(limit > 0) || math.IsInf(limit, 0) {
		return fmt.Errorf("%s: weight %g of the moving average, limit %g: the first must lie in (0, 1], the second be finite and positive", doing, weight, limit)
	}
	return nil
}

func checkSum(doing string, slack, decision float64) error {
	if !(slack >= 0) || math.IsInf(slack, 0) || !(decision > 0) || math.IsInf(decision, 0) {
		return fmt.Errorf("%s: slack %g of the cumulative sums, decision %g: must be finite, the second positive", doing, slack, decision)
	}
	return nil
}

// Signal is what the charts say after a value.
type Signal struct {
	Rule  Rule // None while all charts are quiet
	Side  Side // to which the values have moved
	Since int  // [1] index of the value from which on, counted from the first one added
}

// Charts are the three charts kept together over one row of values.
type Charts struct {
	Level Level
	Plan  Plan
	EWMA  EWMA
	CUSUM CUSUM
	n     int
}

// New starts the charts.
func New(l Level, p Plan) (Charts, error) {
	if err := p.Check(); err != nil {
		return Charts{}, err
	}
	c := Charts{Level: l, Plan: p}
	var err error
	if c.EWMA, err = NewEWMA(l, p.Weight, p.AverageLimit); err != nil {
		return Charts{}, err
	}
	c.CUSUM, err = NewCUSUM(l, p.Slack, p.Decision)
	return c, err
}

// Add takes the next value, which must be a number. When several charts signal at once
// the one is named that dates the change best: the sums, then the average.
func (c *Charts) Add(x float64) Signal {
	at := c.n
	c.n++
	average, sum := c.EWMA.Add(x), c.CUSUM.Add(x)
	if sum != Within {
		return Signal{Sum, sum, c.CUSUM.Since(sum)}
	}
	if average != Within {
		return Signal{Average, average, c.EWMA.Since()}
	}
	if single := beyond((x-c.Level.Mean)/c.Level.SD, c.Plan.Limit); single != Within {
		return Signal{Single, single, at}
	}
	return Signal{}
}
