package worksheet

import (
	"slices"
	"strings"

	"joulewell/energy/quantity"
)

// ID names a reading or a result. Those that belong to a state begin with it.
type ID string

// Readings.
const (
	BobMass        ID = "bob_mass"
	BobLength      ID = "bob_length"
	SpringMass     ID = "spring_mass"
	NaturalLength  ID = "natural_length"
	HungLength     ID = "hung_length"
	Rate           ID = "spring_rate"
	InitialTension ID = "initial_tension"
	Gravity        ID = "gravity"
	SupportHeight  ID = "support_height"
	StartHeight    ID = "start_height"
	StartLength    ID = "start_length"
	StartSpeed     ID = "start_speed"
	EndHeight      ID = "end_height"
	EndLength      ID = "end_length"
	EndSpeed       ID = "end_speed"
)

// Results.
const (
	StartExtension      ID = "start_extension"
	StartElastic        ID = "start_elastic"
	StartGravitational  ID = "start_gravitational"
	StartKinetic        ID = "start_kinetic"
	StartTotal          ID = "start_total"
	EndExtension        ID = "end_extension"
	EndElastic          ID = "end_elastic"
	EndGravitational    ID = "end_gravitational"
	EndKinetic          ID = "end_kinetic"
	EndTotal            ID = "end_total"
	ElasticChange       ID = "elastic_change"
	GravitationalChange ID = "gravitational_change"
	KineticChange       ID = "kinetic_change"
	Lost                ID = "lost"
	PercentLost         ID = "percent_lost"
	Explanation         ID = "explanation" // in words: nothing to reckon
)

// entry is what is known of an ID beforehand.
type entry struct {
	id     ID
	label  string
	symbol string
	kind   quantity.Kind
	unit   string // in which it is printed, or asked for
	places int    // the unit is 10^places of the SI unit
}

// readings and results are all there are, in the order in which they are printed.
var readings = []entry{
	{BobMass, "mass of the bob", "M", quantity.Mass, "g", -3},
	{SpringMass, "mass of the spring", "m_s", quantity.Mass, "g", -3},
	{Rate, "rate of the spring", "k", quantity.Rate, "N/m", 0},
	{InitialTension, "initial tension of the spring", "F0", quantity.Force, "N", 0},
	{NaturalLength, "natural length of the spring, lying on the table", "L0", quantity.Length, "cm", -2},
	{HungLength, "length of the spring hanging by itself", "L_hung", quantity.Length, "cm", -2},
	{BobLength, "length of the bob, from its hook to its lowest point", "l_b", quantity.Length, "cm", -2},
	{SupportHeight, "height of the support above the floor", "H", quantity.Length, "cm", -2},
	{Gravity, "acceleration of free fall", "g", quantity.Acceleration, "m/s2", 0},
	{StartHeight, "height of the bob's lowest point at the start", "h1", quantity.Length, "cm", -2},
	{StartLength, "length of the spring at the start", "L1", quantity.Length, "cm", -2},
	{StartSpeed, "speed of the bob at the start", "v1", quantity.Speed, "m/s", 0},
	{EndHeight, "height of the bob's lowest point at the end", "h2", quantity.Length, "cm", -2},
	{EndLength, "length of the spring at the end", "L2", quantity.Length, "cm", -2},
	{EndSpeed, "speed of the bob at the end", "v2", quantity.Speed, "m/s", 0},
}

var results = []entry{
	{StartExtension, "extension of the spring at the start", "X1", quantity.Length, "m", 0},
	{EndExtension, "extension of the spring at the end", "X2", quantity.Length, "m", 0},
	{StartKinetic, "kinetic energy at the start", "Ek1", quantity.Energy, "J", 0},
	{EndKinetic, "kinetic energy at the end", "Ek2", quantity.Energy, "J", 0},
	{StartElastic, "elastic energy at the start", "Ee1", quantity.Energy, "J", 0},
	{EndElastic, "elastic energy at the end", "Ee2", quantity.Energy, "J", 0},
	{StartGravitational, "gravitational energy at the start", "Eg1", quantity.Energy, "J", 0},
	{EndGravitational, "gravitational energy at the end", "Eg2", quantity.Energy, "J", 0},
	{StartTotal, "total at the start", "E1", quantity.Energy, "J", 0},
	{EndTotal, "total at the end", "E2", quantity.Energy, "J", 0},
	{KineticChange, "change of kinetic energy, end less start", "dEk", quantity.Energy, "J", 0},
	{ElasticChange, "change of elastic energy, end less start", "dEe", quantity.Energy, "J", 0},
	{GravitationalChange, "change of gravitational energy, end less start", "dEg", quantity.Energy, "J", 0},
	{Lost, "energy lost: total at the start less total at the end", "lost", quantity.Energy, "J", 0},
	{PercentLost, "energy lost, of the gravitational energy given up", "share lost", quantity.Ratio, "%", -2},
	{Explanation, "where you think the difference went, and whether the readings can tell", "", quantity.Ratio, "", 0},
}

// Readings returns all readings that a sheet may print, in its order.
func Readings() []ID { return names(readings) }

// Results returns all results that a sheet may ask for, in its order.
func Results() []ID { return names(results) }

func names(list []entry) []ID {
	var ids []ID
	for _, e := range list {
		ids = append(ids, e.id)
	}
	return ids
}

// find returns what is known of id beforehand; of an unknown one its own name.
func (id ID) find() entry {
	for _, list := range [][]entry{readings, results} {
		if i := slices.IndexFunc(list, id.is); i >= 0 {
			return list[i]
		}
	}
	return entry{id: id, label: string(id), symbol: string(id)}
}

func (id ID) is(e entry) bool { return e.id == id }

// isReading and isResult report which of the two id is; neither, if unknown.
func (id ID) isReading() bool { return slices.ContainsFunc(readings, id.is) }
func (id ID) isResult() bool  { return slices.ContainsFunc(results, id.is) }

// Kind returns the kind of quantity of id.
func (id ID) Kind() quantity.Kind { return id.find().kind }

// Label returns the words for id.
func (id ID) Label() string { return id.find().label }

// State is one of the two states of the bob that are compared.
type State string

// States.
const (
	Start   State = "start"
	End     State = "end"
	Neither State = "" // of what belongs to the bench, or to both states
)

// Of returns the ID of a quantity, such as "elastic", in state s.
func (s State) Of(name string) ID { return ID(string(s) + "_" + name) }

// Other returns the other state.
func (s State) Other() State {
	switch s {
	case Start:
		return End
	case End:
		return Start
	}
	return Neither
}

// Split returns the state that id belongs to and the rest of its name.
func (id ID) Split() (State, string) {
	for _, s := range []State{Start, End} {
		if rest, ok := strings.CutPrefix(string(id), string(s)+"_"); ok {
			return s, rest
		}
	}
	return Neither, string(id)
}
