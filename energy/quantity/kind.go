package quantity

import (
	"fmt"
	"strings"
)

// Kind is a kind of quantity, in the sense of the International Vocabulary of
// Metrology: values of one kind can be compared.
type Kind int

// The kinds.
const (
	Length Kind = iota
	Mass
	Force
	Rate
	Speed
	Time
	Acceleration
	Energy
	Temperature // in degrees Celsius
	Angle
	Ratio
)

// unit is a way to write a quantity: 10^exponent times factor of the SI unit.
type unit struct {
	name     string
	exponent int
	factor   float64 // 0 stands for 1
	from     float64 // [SI] values from here on are written in this unit
}

const never = 1e300 // a unit that is read, not written

// degree is one degree of arc in radians.
const degree = 0.017453292519943295769

var kinds = [...]struct {
	name  string
	si    string
	units []unit // from the smallest up, as far as they are written
}{
	Length:       {"length", "m", []unit{{"mm", -3, 0, 0}, {"cm", -2, 0, never}, {"m", 0, 0, 10}}},
	Mass:         {"mass", "kg", []unit{{"g", -3, 0, 0}, {"kg", 0, 0, 10}}},
	Force:        {"force", "N", []unit{{"mN", -3, 0, never}, {"N", 0, 0, 0}}},
	Rate:         {"spring rate", "N/m", []unit{{"N/m", 0, 0, 0}, {"N/cm", 2, 0, never}, {"N/mm", 3, 0, never}}},
	Speed:        {"speed", "m/s", []unit{{"mm/s", -3, 0, never}, {"cm/s", -2, 0, never}, {"m/s", 0, 0, 0}}},
	Time:         {"time", "s", []unit{{"ms", -3, 0, never}, {"s", 0, 0, 0}}},
	Acceleration: {"acceleration", "m/s2", []unit{{"m/s2", 0, 0, 0}}},
	Energy:       {"energy", "J", []unit{{"µJ", -6, 0, 0}, {"mJ", -3, 0, 1e-3}, {"J", 0, 0, 1}}},
	Temperature:  {"temperature", "C", []unit{{"C", 0, 0, 0}}},
	Angle:        {"angle", "rad", []unit{{"deg", 0, degree, 0}, {"rad", 0, 0, never}}},
	Ratio:        {"ratio", "", []unit{{"%", -2, 0, never}, {"", 0, 0, 0}}},
}

// String returns the name of k.
func (k Kind) String() string { return kinds[k].name }

// Unit returns the coherent SI unit of k, empty for a ratio.
func (k Kind) Unit() string { return kinds[k].si }

// unit finds the unit of k with a name.
func (k Kind) unit(name string) (unit, bool) {
	name = plain(name)
	for _, u := range kinds[k].units {
		if u.name == name {
			return u, true
		}
	}
	return unit{}, false
}

// plain takes the other spellings of a unit back to the one in the table.
func plain(name string) string {
	name = strings.NewReplacer("²", "2", "^", "", "μ", "µ", "uJ", "µJ").Replace(name)
	switch name {
	case "°C", "degC", "deg C", "Cel":
		return "C"
	case "°":
		return "deg"
	case "m/s/s":
		return "m/s2"
	}
	return name
}

// wanted lists the units of k for an error message: "m, cm or mm".
func (k Kind) wanted() string {
	var names []string
	for _, u := range kinds[k].units {
		if u.name != "" {
			names = append(names, u.name)
		}
	}
	if k == Ratio {
		names = append(names, "nothing")
	}
	last := len(names) - 1
	if last == 0 {
		return names[0]
	}
	return strings.Join(names[:last], ", ") + " or " + names[last]
}

// wrong says why name is no unit of k.
func (k Kind) wrong(name string) error {
	for other := range kinds {
		if _, ok := Kind(other).unit(name); ok && name != "" {
			return fmt.Errorf("%s is a unit of %s: %s is written in %s", name, Kind(other), k.one(), k.wanted())
		}
	}
	if name == "" {
		return fmt.Errorf("no unit: %s is written in %s", k.one(), k.wanted())
	}
	return fmt.Errorf("%q is not a unit known here: %s is written in %s", name, k.one(), k.wanted())
}

// one is the kind with its article.
func (k Kind) one() string {
	name := k.String()
	if strings.ContainsAny(name[:1], "aeiou") {
		return "an " + name
	}
	return "a " + name
}
