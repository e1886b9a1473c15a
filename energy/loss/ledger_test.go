package loss

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"joulewell/energy"
)

// place is a bench with a light spring, every quantity with its uncertainty.
func place() energy.Apparatus {
	return energy.Apparatus{
		Spring: energy.Spring{
			Mass: energy.Estimate{Value: 0.01, U: 1e-4}, NaturalLength: energy.Estimate{Value: 0.15, U: 3e-4},
			Rate: energy.Estimate{Value: 25, U: 0.05}, InitialTension: energy.Estimate{Value: 0.1, U: 0.005},
		},
		Bob:     energy.Bob{Mass: energy.Estimate{Value: 0.25, U: 1e-4}, Length: energy.Estimate{Value: 0.06, U: 2e-4}},
		Support: energy.Estimate{Value: 1.2, U: 5e-4},
		Gravity: energy.Estimate{Value: 9.81, U: 3e-4},
	}
}

// trial is one made-up experiment: what the bench measures of it, and what is true.
type trial struct {
	entries      Entries
	lost, spring float64 // [J] true work between the ends of the record, and inside the spring
}

// experiment draws a bench within its uncertainties and lets a bob swing on it; half of
// the viscous loss happens inside the spring.
func experiment(rng *rand.Rand, m Model, parameters []float64, n int) trial {
	draw := func(e energy.Estimate) float64 { return e.Value + e.U*rng.NormFloat64() }
	told := place()
	real := told
	for _, q := range []struct{ to, from *energy.Estimate }{
		{&real.Spring.Mass, &told.Spring.Mass}, {&real.Spring.Rate, &told.Spring.Rate}, {&real.Spring.InitialTension, &told.Spring.InitialTension},
		{&real.Bob.Mass, &told.Bob.Mass}, {&real.Gravity, &told.Gravity},
	} {
		q.to.Value = draw(*q.from)
	}
	e := Entries{Apparatus: told, Offset: 4e-4, Scale: 2e-3, To: n}
	offset := draw(energy.Estimate{U: math.Sqrt(e.Offset*e.Offset + told.Support.U*told.Support.U + told.Bob.Length.U*told.Bob.Length.U + told.Spring.NaturalLength.U*told.Spring.NaturalLength.U)})
	scale := 1 + e.Scale*rng.NormFloat64()
	const u = 1e-4
	amplitudes := m.Amplitudes(0.05, parameters, n)
	rest, side := real.Equilibrium(), Lower
	for i, a := range amplitudes {
		e.Record = append(e.Record, Turning{
			T:         energy.Estimate{Value: 0.32 * float64(i), U: 1e-3},
			Extension: energy.Estimate{Value: rest + scale*float64(side)*a + offset + u*rng.NormFloat64(), U: u},
			Side:      side, Index: i,
		})
		side = -side
	}
	x := trial{entries: e}
	k := real.Spring.Rate.Value
	x.lost = k * fall(amplitudes[0], amplitudes[n])
	x.spring = x.lost / 2
	return x
}

// seen adds what force against extension shows of the loss inside the spring, cycle by
// cycle, for a swing of these amplitudes.
func (x *trial) seen(rng *rand.Rand, a []float64) {
	const noise, shared = 2e-5, 3e-5
	common := shared * rng.NormFloat64()
	set := &LoopSet{}
	k := x.spring / fall(a[0], a[len(a)-1])
	for i := 0; i+2 < len(a); i += 2 {
		set.Loops = append(set.Loops, Loop{
			From: x.entries.Record[i].T.Value, To: x.entries.Record[i+2].T.Value,
			Work:  energy.Estimate{Value: k*fall(a[i], a[i+2]) + common + noise*rng.NormFloat64(), U: math.Hypot(noise, shared)},
			Noise: noise, Shared: shared, square: a[i+1] * a[i+1],
		})
	}
	x.entries.Loops = set
}

// 95 % intervals of the loss, of every account and of the residual, against a Monte
// Carlo of everything that is uncertain (JCGM 101).
func TestLedgerHoldsTheTruth(t *testing.T) {
	trials := 1000
	if testing.Short() {
		trials = 200
	}
	for _, c := range []struct {
		name     string
		from, to int
		evidence bool
		loops    bool
	}{
		{"whole cycles", 0, 30, true, false},
		{"a drop: one half swing", 0, 1, true, false},
		{"odd number of half swings, with loops", 0, 15, true, true},
		{"whole cycles, with loops", 2, 20, true, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(61, 1))
			parameters := half(viscous, 0.4, 30)
			a := viscous.Amplitudes(0.05, parameters, 30)
			share := fall(a[c.from], a[c.to]) / fall(a[0], a[30])
			var lost, spring, rest hits
			for range trials {
				x := experiment(rng, viscous, parameters, 30)
				x.entries.From, x.entries.To = c.from, c.to
				if c.loops {
					x.seen(rng, a)
				}
				f, err := FitDecay(viscous, x.entries.Record)
				if err != nil {
					t.Fatal(err)
				}
				x.entries.Evidence = &Evidence{Candidates: []Candidate{{Fit: f}}, Scatter: 1, Verdict: viscous.Name, record: x.entries.Record}
				l, err := Balance(x.entries)
				if err != nil {
					t.Fatal(err)
				}
				lost.add(l.Lost, x.lost*share)
				rest.add(l.Residual, 0)
				sum := l.Residual.Value
				for _, account := range l.Accounts {
					sum += account.Work.Value
					if account.Name == InSpring {
						spring.add(account.Work, x.spring*share)
					}
				}
				near(t, "accounts and residual", sum, -l.Change.Value, 1e-12)
			}
			lost.check(t, "lost")
			rest.check(t, "residual")
			switch {
			case c.loops && c.to%2 == 0:
				spring.check(t, "inside the spring")
			case c.loops && float64(spring.in) < 0.93*float64(spring.all): // the doubt of carrying loops over widens it
				t.Errorf("inside the spring: %d of %d intervals hold the truth", spring.in, spring.all)
			}
		})
	}
}

// balanced returns one ledger of a swing under a model.
func balanced(t *testing.T, m Model, adjust func(*Entries)) Ledger {
	t.Helper()
	x := experiment(rand.New(rand.NewPCG(62, 1)), m, half(m, 0.4, 40), 40)
	e, err := Compare(x.entries.Record)
	if err != nil {
		t.Fatal(err)
	}
	x.entries.Evidence = &e
	if adjust != nil {
		adjust(&x.entries)
	}
	l, err := Balance(x.entries)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func (l *Ledger) account(name string) *Account {
	for i := range l.Accounts {
		if l.Accounts[i].Name == name {
			return &l.Accounts[i]
		}
	}
	return nil
}

// Loops whose expanded uncertainty is more than a fifth of the loss divide nothing: a note
// says what they show.
func TestUnsureLoopsDivideNothing(t *testing.T) {
	parameters := half(viscous, 0.4, 40)
	a := viscous.Amplitudes(0.05, parameters, 40)
	for _, c := range []struct {
		unsure float64 // share of the loss
		told   bool
	}{{0.09, true}, {0.11, false}} {
		l := balanced(t, viscous, func(e *Entries) {
			lost := 25 * fall(a[0], a[40])
			set := &LoopSet{}
			for i := 0; i < 40; i += 2 {
				set.Loops = append(set.Loops, Loop{
					From: e.Record[i].T.Value, To: e.Record[i+2].T.Value, square: a[i+1] * a[i+1],
					Work: energy.Estimate{Value: 12 * fall(a[i], a[i+2])}, Shared: c.unsure * lost / 20,
				})
			}
			e.Loops = set
		})
		notes := strings.Join(l.Notes, "; ")
		if divided, whole := l.account(InSpring) != nil && l.account(ByAir) != nil, l.account(ByViscous) != nil; divided != c.told || whole == c.told {
			t.Errorf("uncertainty of %g of the loss: accounts %+v", c.unsure, l.Accounts)
		}
		if strings.Contains(notes, "too unsure beside") == c.told {
			t.Errorf("uncertainty of %g of the loss: notes %q", c.unsure, notes)
		}
	}
}

// A ripple of the turning points makes a decay less sure, but is no doubt of their places:
// it does not cancel in what is left over.
func TestRippleIsNoScatter(t *testing.T) {
	var whole, rest [2]float64
	for i, ripple := range []float64{0, math.Sqrt(3)} {
		l := balanced(t, viscous, func(e *Entries) {
			a := &e.Apparatus
			for _, q := range []*energy.Estimate{&a.Spring.Mass, &a.Spring.NaturalLength, &a.Spring.Rate, &a.Spring.InitialTension, &a.Bob.Mass, &a.Bob.Length, &a.Support, &a.Gravity} {
				q.U = 0
			}
			e.Scale, e.Offset = 0, 0
			for j := range e.Record {
				e.Record[j].Ripple = ripple * e.Record[j].Extension.U
			}
			f, err := FitDecay(viscous, e.Record)
			if err != nil {
				t.Fatal(err)
			}
			e.Evidence = &Evidence{Candidates: []Candidate{{Fit: f}}, Scatter: 1, Verdict: viscous.Name, record: e.Record}
		})
		whole[i], rest[i] = l.account(ByViscous).Work.U, l.Residual.U
	}
	near(t, "u of the decay's work", whole[1], 2*whole[0], 1e-3*whole[0])
	near(t, "u of what is left over", rest[1], math.Hypot(rest[0], math.Sqrt(3)*whole[0]), 0.02*rest[1])
}

func TestLedgerNamesTheAccounts(t *testing.T) {
	l := balanced(t, viscous, nil)
	if a := l.account(ByViscous); a == nil || math.Abs(a.Work.Value-0.5*25*0.05*0.05*0.84) > 3*a.Work.U+1e-3 {
		t.Errorf("accounts %+v, want viscous friction of 26 mJ", l.Accounts)
	}
	if notes := strings.Join(l.Notes, "; "); !strings.Contains(notes, "only a loop of force over extension tells them apart") {
		t.Errorf("notes %q do not say that spring and air look alike", notes)
	}
	if !strings.HasPrefix(l.Sentence, "lost 2") || !strings.Contains(l.Sentence, "mJ (k = 2) of the swing's 3") {
		t.Errorf("sentence %q", l.Sentence)
	}
	if l.account(InCoils) == nil || l.account(InSpring) != nil || l.Air != nil {
		t.Errorf("accounts %+v", l.Accounts)
	}

	air := &Drag{Area: 2e-3, Coefficient: Sphere(), Air: RoomAir()}
	l = balanced(t, quadratic, func(e *Entries) { e.Drag = air })
	if l.account(ByQuadratic) == nil || l.Air == nil || !(l.Air.Low > 0) {
		t.Errorf("accounts %+v, air %v", l.Accounts, l.Air)
	}
	if notes := strings.Join(l.Notes, "; "); !strings.Contains(notes, "more than air can") {
		t.Errorf("notes %q do not say that a ball of 5 cm cannot lose so much to the air", notes)
	}

	l = balanced(t, viscous, func(e *Entries) { e.Drag, e.Evidence = air, nil })
	if l.account(ByDrag) == nil || l.account(ByViscous) != nil {
		t.Errorf("without evidence: accounts %+v, want air drag from the bob's size", l.Accounts)
	}
	if l.Residual.Value < 5*l.Residual.U {
		t.Errorf("residual %+v, want most of the loss unexplained", l.Residual)
	}

	l = balanced(t, none, nil)
	if !strings.HasPrefix(l.Sentence, "no loss seen above ") {
		t.Errorf("sentence %q", l.Sentence)
	}
}

func TestLedgerTellsWhyThereAreNoLoops(t *testing.T) {
	l := balanced(t, viscous, func(e *Entries) { e.Loops = &LoopSet{TooSlow: "the force converter is too slow"} })
	if l.account(InSpring) != nil || !strings.Contains(strings.Join(l.Notes, "; "), "too slow") {
		t.Errorf("accounts %+v, notes %q", l.Accounts, l.Notes)
	}
	l = balanced(t, viscous, func(e *Entries) {
		e.Loops = &LoopSet{Loops: []Loop{{From: 0, To: 0.64, Work: energy.Estimate{Value: 1e-3, U: 1e-4}, square: 0.0025}}}
	})
	if l.account(InSpring) != nil || !strings.Contains(strings.Join(l.Notes, "; "), "cover 11 % of the interval") {
		t.Errorf("accounts %+v, notes %q", l.Accounts, l.Notes)
	}
	// Loops that show twice the loss that there is: the delay must be wrong.
	l = balanced(t, viscous, func(e *Entries) {
		set := &LoopSet{}
		for i := 0; i < 40; i += 2 {
			set.Loops = append(set.Loops, Loop{From: e.Record[i].T.Value, To: e.Record[i+2].T.Value, Work: energy.Estimate{Value: 3e-3, U: 1e-4}, Noise: 1e-4, square: 0.001})
		}
		e.Loops = set
	})
	if !strings.Contains(strings.Join(l.Notes, "; "), "check the delay") {
		t.Errorf("notes %q do not question the delay", l.Notes)
	}
}

// A heavy spring: waves in its coils have a line of their own, one-sided, and smaller
// right after the release.
func TestCoilWavesHaveTheirOwnLine(t *testing.T) {
	var reach float64
	heavy := func(e *Entries) {
		reach = (e.Record[0].Extension.Value - e.Record[1].Extension.Value) / 2
		e.Apparatus.Spring.Mass.Value = 0.1
		e.Evidence = nil
		e.From, e.To = 0, 1
	}
	share := func(at Where) float64 {
		s, err := CoilWave(0.4, at)
		if err != nil {
			t.Fatal(err)
		}
		return s * Exchanged(0.4, 25, reach)
	}
	l := balanced(t, viscous, func(e *Entries) { heavy(e); e.Record[0].Release = true })
	near(t, "lost", l.Lost.Value, -l.Change.Value-l.account(InCoils).Work.Value, 1e-15)
	near(t, "hidden after a release", l.account(InCoils).Work.Value, share(FirstTurn)/2, 1e-9*share(FirstTurn))
	near(t, "uncertainty", l.account(InCoils).Work.U, share(FirstTurn)/math.Sqrt(12), 1e-9*share(FirstTurn))
	l = balanced(t, viscous, heavy)
	near(t, "hidden between later turns", l.account(InCoils).Work.Value, 0, 1e-15)
	near(t, "uncertainty", l.account(InCoils).Work.U, share(LaterTurn)/math.Sqrt(6), 1e-9*share(LaterTurn))
	near(t, "lost", l.Lost.Value, -l.Change.Value-l.account(InCoils).Work.Value, 1e-15)
	var squares float64
	for i, c := range l.Budget {
		squares += c.U * c.U
		if i > 0 && c.U > l.Budget[i-1].U {
			t.Error("budget is not sorted")
		}
	}
	near(t, "budget", math.Sqrt(squares), l.Lost.U, 1e-12)
}

// One shared input at a time: its part in the loss, in an account of the decay, and in
// the residual, from which it cancels.
func TestSharedInputsAreShared(t *testing.T) {
	var scatter, work float64
	for _, c := range []struct {
		name           string
		spoil          func(*Entries)
		lost, account  float64 // relative standard uncertainty that it adds
		residualAtMost float64
	}{
		{"none", func(*Entries) {}, 0, 0, 0.02},
		{"rate", func(e *Entries) { e.Apparatus.Spring.Rate.U = 1 }, 0, 0.04, 1},
		{"scale", func(e *Entries) { e.Scale = 0.05 }, 0.1, 0.1, 0.02},
	} {
		l := balanced(t, viscous, func(e *Entries) {
			a := &e.Apparatus
			for _, q := range []*energy.Estimate{&a.Spring.Mass, &a.Spring.NaturalLength, &a.Spring.Rate, &a.Spring.InitialTension, &a.Bob.Mass, &a.Bob.Length, &a.Support, &a.Gravity} {
				q.U = 0
			}
			e.Offset, e.Scale = 0, 0
			c.spoil(e)
		})
		a := l.account(ByViscous).Work
		if c.name == "none" {
			scatter, work = a.U, a.Value
		}
		near(t, c.name+": account", a.U, math.Hypot(scatter, c.account*work), 1e-3*a.U)
		if c.lost > 0 {
			near(t, c.name+": lost", l.Lost.U, c.lost*work, 0.03*c.lost*work)
		}
		if l.Residual.U > c.residualAtMost*work {
			t.Errorf("%s: residual has uncertainty %g J of a loss of %g J", c.name, l.Residual.U, work)
		}
	}
}

// The effect of an input has the sign of what it does to the loss, and to the energy of the
// swing: the books with the input stated higher by its uncertainty say so.
func TestEffectsHaveTheirSign(t *testing.T) {
	effect := func(budget []Contribution, input string) (effect float64) {
		for _, c := range budget {
			if c.Effect != 0 && math.Abs(c.Effect) != c.U {
				t.Errorf("%+v: an effect is as large as the uncertainty", c)
			}
			if c.Input == input {
				effect = c.Effect
			}
		}
		return effect
	}
	negative := false
	for input, of := range map[string]func(*energy.Apparatus) *energy.Estimate{
		InputRate:    func(a *energy.Apparatus) *energy.Estimate { return &a.Spring.Rate },
		InputBobMass: func(a *energy.Apparatus) *energy.Estimate { return &a.Bob.Mass },
		InputGravity: func(a *energy.Apparatus) *energy.Estimate { return &a.Gravity },
	} {
		stated := func(higher float64) Ledger {
			return balanced(t, viscous, func(e *Entries) {
				q := of(&e.Apparatus)
				q.U = 2e-3 * q.Value
				q.Value += higher * q.U
			})
		}
		l, low, high := stated(0), stated(-1), stated(1)
		lost, swing := effect(l.Budget, input), effect(l.SwingBudget, input)
		near(t, input+": loss", (high.Lost.Value-low.Lost.Value)/2, lost, 0.02*math.Abs(lost))
		near(t, input+": swing", (high.Swing.Value-low.Swing.Value)/2, swing, 0.02*math.Abs(swing))
		negative = negative || lost < 0 || swing < 0
	}
	if !negative {
		t.Error("no effect is negative: the test does not see a sign that is lost")
	}
}

// An account of the decay is as sure as the fit's own statement, also where turning
// points scatter more than they say.
func TestAccountIsAsSureAsTheFit(t *testing.T) {
	rng := rand.New(rand.NewPCG(64, 1))
	e := experiment(rng, viscous, half(viscous, 0.4, 40), 40).entries
	e.Scale = 0
	for i := range e.Record {
		e.Record[i].Extension.Value += 3e-4 * rng.NormFloat64()
	}
	evidence, err := Compare(e.Record)
	if err != nil {
		t.Fatal(err)
	}
	if evidence.Scatter < 2 {
		t.Fatalf("scatter %g, want it seen", evidence.Scatter)
	}
	evidence.Verdict = viscous.Name
	e.Evidence = &evidence
	l, err := Balance(e)
	if err != nil {
		t.Fatal(err)
	}
	want := evidence.named(viscous.Name).Fit.Work(e.Apparatus.Spring.Rate, 0, 40)[0].Work
	near(t, "work", l.account(ByViscous).Work.Value, want.Value, 1e-12)
	near(t, "uncertainty", l.account(ByViscous).Work.U, want.U, 1e-6*want.U)
}

func TestBalanceRefuses(t *testing.T) {
	for _, c := range []struct {
		name, want string
		kind       error
		spoil      func(*Entries)
	}{
		{"ends the wrong way round", "must be in order", ErrSamples, func(e *Entries) { e.From, e.To = 5, 3 }},
		{"past the record", "must be in order", ErrSamples, func(e *Entries) { e.To = 99 }},
		{"no uncertainty", "uncertainties positive", ErrSamples, func(e *Entries) { e.Record[3].Extension.U = 0; e.Evidence = nil }},
		{"impossible bob", "bob mass", energy.ErrImpossible, func(e *Entries) { e.Apparatus.Bob.Mass.Value = -1 }},
		{"scale not a number", "scale", ErrSamples, func(e *Entries) { e.Scale = math.NaN() }},
		{"evidence of another record", "another record", ErrSamples, func(e *Entries) { e.Record = e.Record[2:]; e.To = 9 }},
		{"spring heavier than can be bounded", "heavy as the bob", nil, func(e *Entries) { e.Apparatus.Spring.Mass.Value = 0.6 }},
		{"air of no density", "density of air", nil, func(e *Entries) { e.Drag = &Drag{Area: 1e-3, Coefficient: Sphere()} }},
	} {
		t.Run(c.name, func(t *testing.T) {
			x := experiment(rand.New(rand.NewPCG(63, 1)), viscous, half(viscous, 0.4, 40), 40)
			e, err := Compare(x.entries.Record)
			if err != nil {
				t.Fatal(err)
			}
			x.entries.Evidence = &e
			c.spoil(&x.entries)
			if l, err := Balance(x.entries); err == nil || !strings.Contains(err.Error(), c.want) || (c.kind != nil && !errors.Is(err, c.kind)) {
				t.Errorf("Balance = %+v, %v; want an error saying %q", l, err, c.want)
			}
		})
	}
}
