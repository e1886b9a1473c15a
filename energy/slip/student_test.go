package slip

import (
	"fmt"
	"math"
	"math/rand/v2"

	"joulewell/energy/quantity"
	"joulewell/energy/worksheet"
)

// A student here works the sums out by plain formulas of their own, written down for
// this test: the trees of the worksheet and their rewriting have no part in it.

// num is a number as somebody carries it, with the place of its last digit worth keeping.
type num struct {
	v     float64
	place int
}

const endless = -300 // the place of a number of the formula

func constant(v float64) num { return num{v, endless} }

func leadingDigit(v float64) int { return int(math.Floor(math.Log10(math.Abs(v)) + 1e-12)) }

func (n num) digits() int {
	if n.v == 0 || n.place == endless {
		return -endless
	}
	return max(1, leadingDigit(n.v)-n.place+1)
}

func rounded(v float64, place int) float64 {
	if place == endless || v == 0 {
		return v
	}
	f := math.Pow10(-place)
	if place > 0 {
		return math.Round(v*math.Pow10(-place)) / math.Pow10(-place)
	}
	return math.Round(v*f) / f
}

// habits of rounding.
const (
	unrounded    = iota
	allowed      // as few digits as the sheet allows
	finer        // one more
	moody        // now so, now so
	likeReadings // as many as what went in has
	habits
)

// slipped is a planted slip.
type slipped struct {
	kind  Kind
	way   int
	state string // "" = in both
}

type student struct {
	*rand.Rand
	digits int // that the sheet asks for
	habit  int
	places map[worksheet.ID]num // readings
	slips  []slipped
	asked  map[worksheet.ID]bool
	texts  map[worksheet.ID]string
	values map[worksheet.ID]float64 // as written, or unrounded without a pen
	pen    bool                     // writes and rounds; without it everything is exact

	extensions map[string]num // by state
}

func (s *student) makes(k Kind, way int, state string) bool {
	for _, x := range s.slips {
		if x.kind == k && (x.way == way || way < 0) && (x.state == "" || state == "" || x.state == state) {
			return true
		}
	}
	return false
}

// round is what happens to a number on the way.
func (s *student) round(n num) num {
	if n.v == 0 || n.place == endless || !s.pen {
		return n
	}
	habit := s.habit
	if habit == moody {
		habit = s.IntN(habits)
	}
	place := leadingDigit(n.v) - s.digits
	switch {
	case habit == likeReadings && s.digits == 3:
		n.v = rounded(n.v, n.place)
	case habit == allowed:
		n.v = rounded(n.v, place+1)
	case habit == finer:
		n.v = rounded(n.v, place)
	}
	return n
}

// mul multiplies from the front, in an order of the student's own.
func (s *student) mul(f ...num) num {
	if s.pen {
		s.Shuffle(len(f), func(i, j int) { f[i], f[j] = f[j], f[i] })
	}
	p := f[0]
	for _, x := range f[1:] {
		digits := min(p.digits(), x.digits())
		p = s.round(p)
		p.v *= x.v
		p.place = endless
		if p.v != 0 && digits != -endless {
			p.place = leadingDigit(p.v) - digits + 1
		}
	}
	return p
}

func (s *student) add(t ...num) num {
	p := t[0]
	for _, x := range t[1:] {
		p = s.round(p)
		sum := num{p.v + x.v, max(p.place, x.place)}
		if math.Abs(sum.v) < 1e-12*math.Abs(p.v) { // decimal fractions are not exact in binary
			sum.v = 0
		}
		p = sum
	}
	return p
}

func (s *student) read(id worksheet.ID) num { return s.round(s.places[id]) }
func (s *student) has(id worksheet.ID) bool { _, ok := s.places[id]; return ok }

func minus(n num) num { n.v = -n.v; return n }

// write writes a result down if it is asked for, and returns what the student goes on with.
func (s *student) write(id worksheet.ID, n num) num {
	if !s.asked[id] {
		return s.round(n)
	}
	if !s.pen {
		s.values[id] = n.v
		return n
	}
	place := leadingDigit(n.v) - s.digits + s.IntN(2)
	if n.v == 0 {
		place = -3
	}
	if s.habit == likeReadings && s.digits == 3 && n.place != endless {
		place = n.place
	}
	wrote := rounded(n.v, place)
	units := []struct {
		name  string
		power int
	}{{"J", 0}, {"mJ", -3}}
	switch id.Kind() {
	case quantity.Length:
		units = units[:0]
		units = append(units, struct {
			name  string
			power int
		}{"m", 0}, struct {
			name  string
			power int
		}{"cm", -2})
	case quantity.Ratio:
		units = units[:1]
		units[0].name, units[0].power = "%", -2
	}
	u := units[s.IntN(len(units))]
	if place > u.power { // zeros would count as digits
		s.texts[id] = fmt.Sprintf("%.0fe%d %s", wrote/math.Pow10(place), place-u.power, u.name)
	} else {
		s.texts[id] = fmt.Sprintf("%.*f %s", u.power-place, wrote/math.Pow10(u.power), u.name)
	}
	s.values[id] = wrote
	if s.IntN(2) == 0 {
		n.v = wrote
	}
	return s.round(n)
}

// work fills in the sheet.
func (s *student) work() {
	s.texts, s.values = map[worksheet.ID]string{}, map[worksheet.ID]float64{}
	energy := map[string][]num{}
	s.extensions = map[string]num{}
	for _, state := range []string{"start", "end"} {
		s.extensions[state] = s.write(worksheet.State(state).Of("extension"), s.extension(state))
	}
	for i, state := range []string{"start", "end"} {
		id := func(name string) worksheet.ID { return worksheet.State(state).Of(name) }
		kinds := map[string]num{}
		if s.has(worksheet.StartSpeed) || s.has(worksheet.EndSpeed) {
			if s.has(id("speed")) {
				kinds["kinetic"] = s.write(id("kinetic"), s.kinetic(state))
			}
		}
		kinds["elastic"] = s.write(id("elastic"), s.elastic(state))
		kinds["gravitational"] = s.write(id("gravitational"), s.gravitational(state))
		var terms []num
		for way, name := range []string{"elastic", "kinetic", "gravitational"} {
			if n, ok := kinds[name]; ok && !s.makes(TotalIncomplete, way, state) {
				terms = append(terms, n)
			}
		}
		kinds["total"] = s.write(id("total"), s.add(terms...))
		for name, n := range kinds {
			if len(energy[name]) < i {
				energy[name] = []num{constant(0)}
			}
			energy[name] = append(energy[name], n)
		}
	}
	s.differences(energy)
}

func (s *student) differences(energy map[string][]num) {
	swap := func(way int, n num) num {
		if s.makes(Turned, way, "") {
			return minus(n)
		}
		return n
	}
	change := map[string]num{}
	for way, name := range []string{"kinetic", "elastic", "gravitational"} {
		e := energy[name]
		if len(e) == 0 {
			continue
		}
		if len(e) == 1 {
			e = append(e, constant(0))
		}
		d := e[1]
		if e[0].v != 0 {
			d = s.add(e[1], minus(e[0]))
		}
		change[name] = s.write(worksheet.ID(name+"_change"), swap(way, d))
	}
	lost := s.write(worksheet.Lost, swap(3, s.add(energy["total"][0], minus(energy["total"][1]))))
	base := minus(change["gravitational"])
	for way, of := range []num{energy["total"][0], energy["total"][1], change["elastic"], energy["gravitational"][0]} {
		if s.makes(PercentBase, way, "") {
			base = of
		}
	}
	if base = s.round(base); base.v == 0 {
		return // and the blank stays empty
	}
	digits := min(lost.digits(), base.digits())
	share := num{lost.v / base.v, endless}
	if share.v != 0 {
		share.place = leadingDigit(share.v) - digits + 1
	}
	s.write(worksheet.PercentLost, share)
}

// length and height are read or closed from what is read.
func (s *student) length(state string) num {
	if id := worksheet.State(state).Of("length"); s.has(id) {
		return s.read(id)
	}
	terms := []num{s.read(worksheet.SupportHeight), minus(s.read(worksheet.State(state).Of("height")))}
	if !s.makes(BobForgotten, 0, state) {
		terms = append(terms, minus(s.read(worksheet.BobLength)))
	}
	return s.add(terms...)
}

func (s *student) height(state string) num {
	top := s.makes(TopForBottom, -1, state)
	if id := worksheet.State(state).Of("height"); s.has(id) {
		if top {
			return s.add(s.read(id), s.read(worksheet.BobLength))
		}
		return s.read(id)
	}
	h := s.add(s.read(worksheet.SupportHeight), minus(s.length(state)))
	if top {
		return h
	}
	return s.add(h, minus(s.read(worksheet.BobLength)))
}

func other(state string) string { return string(worksheet.State(state).Other()) }

func (s *student) extension(state string) num {
	from := state
	if s.makes(OtherState, 0, state) {
		from = other(state)
	}
	l := s.length(from)
	switch {
	case s.makes(LengthForExtension, 0, state):
	case s.makes(HungForNatural, 0, state):
		l = s.add(l, minus(s.read(worksheet.HungLength)))
	default:
		l = s.add(l, minus(s.read(worksheet.NaturalLength)))
	}
	if s.makes(ExtensionTurned, 0, state) {
		return minus(l)
	}
	return l
}

func (s *student) elastic(state string) num {
	x := s.extensions[state]
	switch {
	case s.makes(LengthForExtension, 1, state):
		x = s.length(state)
	case s.makes(HungForNatural, 1, state):
		x = s.add(s.length(state), minus(s.read(worksheet.HungLength)))
	case s.makes(OtherState, 1, state):
		x = s.extensions[other(state)]
	}
	k := s.read(worksheet.Rate)
	for way, factor := range []float64{0.01, 0.001, 100, 1000} {
		if s.makes(RateUnit, way, state) {
			k = scaled(k, factor)
		}
	}
	if s.makes(Centimetres, 0, state) {
		x = scaled(x, 100)
	}
	factors := []num{k, x}
	if !s.makes(NotSquared, 0, state) {
		factors = append(factors, x)
	}
	if !s.makes(ElasticHalf, 0, state) {
		factors = append(factors, constant(0.5))
	}
	e := s.mul(factors...)
	if s.has(worksheet.InitialTension) && !s.makes(TensionIgnored, 0, state) {
		e = s.add(e, s.mul(s.read(worksheet.InitialTension), x))
	}
	return e
}

func scaled(n num, factor float64) num {
	return num{n.v * factor, n.place + int(math.Round(math.Log10(factor)))}
}

func (s *student) mass(id worksheet.ID, state string) num {
	if s.makes(Grams, 0, state) {
		return scaled(s.read(id), 1000)
	}
	return s.read(id)
}

func (s *student) kinetic(state string) num {
	m := s.mass(worksheet.BobMass, state)
	if s.has(worksheet.SpringMass) && !s.makes(KineticSpring, 0, state) {
		spring := s.mass(worksheet.SpringMass, state)
		if !s.makes(WholeSpring, 0, state) {
			digits := spring.digits()
			spring.v /= 3
			spring.place = leadingDigit(spring.v) - digits + 1
			spring = s.round(spring)
		}
		m = s.add(m, spring)
	}
	v := s.read(worksheet.State(state).Of("speed"))
	factors := []num{s.round(m), v}
	if !s.makes(SpeedNotSquared, 0, state) {
		factors = append(factors, v)
	}
	if !s.makes(KineticHalf, 0, state) {
		factors = append(factors, constant(0.5))
	}
	return s.mul(factors...)
}

func (s *student) gravitational(state string) num {
	at := state
	if s.makes(OtherState, 2, state) {
		at = other(state)
	}
	g := s.read(worksheet.Gravity)
	for way, v := range []float64{9.8, 10} {
		if s.makes(GravityRounded, way, state) {
			g = constant(v)
		}
	}
	size := 1.0
	if s.makes(Centimetres, 0, state) {
		size = 100
	}
	e := s.mul(s.mass(worksheet.BobMass, state), g, scaled(s.height(at), size))
	if s.has(worksheet.SpringMass) && !s.makes(GravitationalSpring, 0, state) {
		half := s.length(at)
		digits := half.digits()
		half.v /= 2
		half.place = leadingDigit(half.v) - digits + 1
		middle := s.add(s.read(worksheet.SupportHeight), minus(s.round(half)))
		e = s.add(e, s.mul(s.mass(worksheet.SpringMass, state), g, scaled(middle, size)))
	}
	return e
}
