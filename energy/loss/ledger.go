package loss

import (
	"fmt"
	"math"

	"joulewell/energy"
)

// Entries are what the books are made from.
type Entries struct {
	Apparatus energy.Apparatus
	Record    []Turning // of one record, such as [Turnings.Longest]
	From, To  int       // [1] positions in Record between which the books are kept
	Offset    float64   // [m] standard uncertainty of the sensor's offset, shared by all extensions; those of support height, bob length and natural length are added
	Scale     float64   // [1] relative standard uncertainty of the sensor's scale, shared by all extensions

	// What is not there is nil.
	Evidence *Evidence // of the same Record
	Loops    *LoopSet  // of the same Record
	Drag     *Drag
}

// Account is one place where energy went.
type Account struct {
	Name string
	Work energy.Estimate // [J]
	From string          // how it was found
}

// Contribution is what one input adds to the uncertainty of an energy.
type Contribution struct {
	Input  string
	U      float64 // [J] standard uncertainty from this input alone
	Effect float64 // [J] the same with its sign, where other swings of the bench share the input; else 0
}

// Ledger says where the joules went between two turning points. Its lines add up:
// minus Change = all Accounts + Residual.
type Ledger struct {
	From, To    float64         // [s]
	Swing       energy.Estimate // [J] energy of the swing at From, above the bob at rest
	Change      energy.Estimate // [J] of the mechanical energy that place and speed show
	Lost        energy.Estimate // [J] minus Change, less what only hides in coil waves
	Accounts    []Account
	Residual    energy.Estimate // [J] in no account
	Air         *Range          // [J] bounds of air drag from the bob's size; nil where it is not stated
	Budget      []Contribution  // of Lost, largest first
	SwingBudget []Contribution  // of Swing, likewise
	Sentence    string          // the verdict, at coverage factor 2
	Notes       []string        // what must be known when reading it
}

// Coverage is the coverage factor of the sentences.
const Coverage = 2

// Names of the accounts.
const (
	InSpring    = "inside the spring"
	BySliding   = "sliding friction"
	ByViscous   = "viscous friction, in spring or air"
	ByAir       = "viscous friction, not in the spring"
	ByQuadratic = "quadratic friction, air"
	ByDrag      = "air drag, from the bob's size"
	InCoils     = "hidden in coil waves"
)

// Balance keeps the books between two turning points.
//
// The bob stands still at both, so the change of mechanical energy is that of elastic
// and gravitational energy alone. It is propagated as a difference: what both ends
// share (rate, masses, gravity, offset and scale of the sensor) enters once, and the
// accounts that come from the same turning points or the same rate share them too, so
// that the residual is as sure as it can be and no surer.
//
// The decay model's work is entered only where the evidence names a model. Work seen
// in force-extension loops goes to the spring, and is taken off the viscous part of
// the decay, or the sliding part where there is none; loops that do not span the
// whole interval are carried over to it as the square of the amplitude. Where their
// expanded uncertainty is more than a fifth of the loss they divide nothing, and a note
// says what they show. Where no model is named, air drag from the bob's size takes its
// place.
//
// It returns the refusals of the apparatus, of [CoilWave] and of [Drag], and an error
// that wraps [ErrSamples] for positions out of order.
func Balance(e Entries) (Ledger, error) {
	b, err := open(e)
	if err != nil {
		return Ledger{}, fmt.Errorf("balance books: %w", err)
	}
	from, to := &e.Record[e.From], &e.Record[e.To]
	l := Ledger{From: from.T.Value, To: to.T.Value}
	drop, swing := b.drop(), b.swing()
	hidden, err := b.hidden()
	if err != nil {
		return Ledger{}, fmt.Errorf("balance books: %w", err)
	}
	if e.Drag != nil {
		air, err := e.Drag.overRecord(e.Record, e.From, e.To, b.middle)
		if err != nil {
			return Ledger{}, fmt.Errorf("balance books: %w", err)
		}
		l.Air = &air
	}
	l.Change = energy.Estimate{Value: -drop.value, U: drop.estimate().U}
	lost := drop.minus(hidden)
	rest := drop
	for _, line := range append(b.friction(&l), entry{InCoils, "bound from the spring's mass", hidden}) {
		l.Accounts = append(l.Accounts, Account{Name: line.name, Work: line.term.estimate(), From: line.from})
		rest = rest.minus(line.term)
	}
	l.Swing, l.Residual, l.Lost = swing.estimate(), rest.estimate(), lost.estimate()
	l.Budget, l.SwingBudget = b.budget(lost), b.budget(swing)
	l.Sentence = verdict(l.Lost, l.Swing.Value)
	l.remark(e.Evidence)
	return l, nil
}

// verdict puts a loss beside its uncertainty.
func verdict(lost energy.Estimate, swing float64) string {
	expanded := Coverage * lost.U
	beside := fmt.Sprintf("%s (k = %d)", joules(lost.Value, expanded), Coverage)
	switch {
	case lost.Value > expanded:
		return fmt.Sprintf("lost %s of the swing's %s", beside, amount(swing, 3))
	case lost.Value < -expanded:
		return fmt.Sprintf("gained %s on the swing's %s: look for a push, a wrong rate or a sensor that drifts",
			fmt.Sprintf("%s (k = %d)", joules(-lost.Value, expanded), Coverage), amount(swing, 3))
	}
	return fmt.Sprintf("no loss seen above %s of the swing's %s: %s", amount(math.Max(lost.Value, 0)+expanded, 2), amount(swing, 3), beside)
}

// remark adds what must be known beside the numbers.
func (l *Ledger) remark(e *Evidence) {
	for _, a := range l.Accounts {
		switch low := a.Work.Value - Coverage*a.Work.U; {
		case a.Name == ByViscous:
			l.Notes = append(l.Notes, "viscous loss inside the spring and viscous drag of the air make the same amplitudes; only a loop of force over extension tells them apart")
		case a.Name == ByQuadratic && l.Air != nil && low > l.Air.High:
			l.Notes = append(l.Notes, fmt.Sprintf("quadratic friction takes more than air can, %s: look for sway, twist or something that is touched", amount(l.Air.High, 2)))
		case a.Name == ByAir && a.Work.Value+Coverage*a.Work.U < 0:
			l.Notes = append(l.Notes, "the loops show more loss than the swing has: check the delay between force and distance")
		}
	}
	if e != nil {
		l.Notes = append(l.Notes, "decay: "+e.Sentence)
	}
}
