package slip

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"joulewell/energy/worksheet"
)

// trial is a bench, its sheet, and a student who will fill it in.
type trial struct {
	*worksheet.Sheet
	student
}

func newTrial(t *testing.T, seed uint64) trial {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 29))
	b := bench(t, r)
	sheet, _, err := worksheet.New(b, choice(r, b))
	if err != nil {
		t.Fatalf("bench %d: %v", seed, err)
	}
	s := student{Rand: r, places: map[worksheet.ID]num{}, asked: map[worksheet.ID]bool{}, pen: true, digits: sheet.Digits}
	for _, i := range sheet.Readings {
		v, place, err := worksheet.Read(i.Printed+" "+i.Unit, i.ID)
		if err != nil {
			t.Fatal(err)
		}
		s.places[i.ID] = num{v, place}
	}
	for _, i := range sheet.Results {
		s.asked[i.ID] = i.ID != worksheet.Explanation
	}
	return trial{sheet, s}
}

// hold lets the student work with these slips and holds the sheet.
func (x *trial) hold(t *testing.T, slips ...slipped) *Report {
	t.Helper()
	x.habit = x.IntN(habits)
	x.slips = slips
	x.work()
	r, err := Hold(x.Sheet, x.texts)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// possible lists the slips that this sheet gives occasion for.
func (x *trial) possible() []slipped {
	var all []slipped
	states := []string{"", "start", "end"}
	add := func(ok bool, k Kind, ways ...int) {
		if ok {
			for _, way := range ways {
				all = append(all, slipped{k, way, states[max(0, x.IntN(5)-2)]})
			}
		}
	}
	read := func(id worksheet.ID) bool { return x.has(id) }
	asked := func(id worksheet.ID) bool { return x.asked[id] }
	extensions := asked(worksheet.StartExtension) && asked(worksheet.EndExtension)
	add(true, LengthForExtension, 0)
	add(read(worksheet.HungLength), HungForNatural, 0)
	add(extensions, LengthForExtension, 1)
	add(extensions && read(worksheet.HungLength), HungForNatural, 1)
	add(true, ElasticHalf, 0)
	add(true, NotSquared, 0)
	add(read(worksheet.InitialTension), TensionIgnored, 0)
	add(true, RateUnit, x.IntN(4))
	moves := read(worksheet.EndSpeed)
	add(moves, KineticHalf, 0)
	add(moves, SpeedNotSquared, 0)
	add(moves && read(worksheet.SpringMass), KineticSpring, 0)
	add(moves && read(worksheet.SpringMass), WholeSpring, 0)
	add(read(worksheet.SpringMass), GravitationalSpring, 0)
	add(true, TopForBottom, 0)
	add(!read(worksheet.StartLength), BobForgotten, 0)
	add(true, GravityRounded, x.IntN(2))
	add(true, Centimetres, 0)
	add(true, Grams, 0)
	for way := range 3 {
		if way != 1 || extensions {
			all = append(all, slipped{OtherState, way, states[1+x.IntN(2)]})
		}
	}
	add(asked(worksheet.StartExtension) || asked(worksheet.EndExtension), ExtensionTurned, 0)
	for way, id := range []worksheet.ID{worksheet.KineticChange, worksheet.ElasticChange, worksheet.GravitationalChange, worksheet.Lost} {
		if asked(id) && (way > 0 || moves) {
			all = append(all, slipped{Turned, way, ""})
		}
	}
	add(asked(worksheet.StartTotal) || asked(worksheet.EndTotal), TotalIncomplete, 0, 2)
	add(moves, TotalIncomplete, 1)
	if asked(worksheet.PercentLost) {
		all = append(all, slipped{PercentBase, x.IntN(4), ""})
	}
	return all
}

// seen reports whether the sheet shows that one of the slips was made: whether a figure
// lies outside of what the same student writes without it in many moods of rounding, by
// more than its last digit.
func (x *trial) seen(slips []slipped, one int) bool {
	low, high := map[worksheet.ID]float64{}, map[worksheet.ID]float64{}
	y := *x
	y.slips = slices.Delete(slices.Clone(slips), one, one+1)
	const moods = 40
	for i := range moods {
		y.habit = i % habits
		y.work()
		for id, v := range y.values {
			if i == 0 {
				low[id], high[id] = v, v
			}
			low[id], high[id] = min(low[id], v), max(high[id], v)
		}
	}
	for id, v := range x.values {
		_, place, err := worksheet.Read(x.texts[id], id)
		if err != nil {
			panic(err) // it was read before
		}
		last := math.Pow10(place)
		if v < low[id]-last || v > high[id]+last {
			return true
		}
	}
	return false
}
