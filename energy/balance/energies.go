package balance

import (
	"joulewell/energy"
	"joulewell/energy/quantity"
)

// lines of the table, in their order.
const (
	kinetic = iota
	elastic
	bobUp
	springUp
	waves
	total
	lineCount
)

var lineNames = [lineCount]string{
	"kinetic", "elastic", "gravitational, bob", "gravitational, spring", "hidden in coil waves", "total",
}

// Places of the results of the formula: the lines of the start, of the end, of the
// change from start to end, then the loss.
const (
	ofStart     = 0
	ofEnd       = lineCount
	ofChange    = 2 * lineCount
	ofLoss      = 3 * lineCount
	resultCount = 3*lineCount + 1
)

// energies is the formula of the comparison. Gravitational energy counts from the
// floor, elastic energy from the natural length.
func (c *comparer) energies(x []float64) ([]float64, error) {
	a := c.Bench.With(x)
	m, err := energy.NewModel(a, 0)
	if err != nil {
		return nil, err
	}
	y := make([]float64, resultCount)
	rule := x[quantity.AtRule]
	fill(y[ofStart:], m, c.Start.extension(&a, x[atStart], rule), x[atStartSpeed], c.Start.Speed.U, x[atStartWaves])
	fill(y[ofEnd:], m, c.End.extension(&a, x[atEnd], rule), x[atEndSpeed], c.End.Speed.U, x[atEndWaves])
	for i := range lineCount {
		y[ofChange+i] = y[ofEnd+i] - y[ofStart+i]
	}
	y[ofLoss] = -y[ofChange+total]
	return y, nil
}

// fill writes the lines of one state. The uncertainty of the speed is there for its
// bias: the square of an uncertain speed is too large on average.
func fill(y []float64, m *energy.Model, extension, speed, speedU, hidden float64) {
	a := m.Apparatus()
	height := a.Height(extension)
	e := m.At(energy.State{
		Height: energy.Estimate{Value: height}, Velocity: energy.Estimate{Value: speed}, Bias: speedU * speedU,
	})
	y[kinetic] = e.Kinetic.Value
	y[elastic] = e.Elastic.Value
	y[bobUp] = a.Bob.Mass.Value * a.Gravity.Value * height
	y[springUp] = e.Gravitational.Value - y[bobUp]
	y[waves] = hidden
	y[total] = e.Total.Value + hidden
}
