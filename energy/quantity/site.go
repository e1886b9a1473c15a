package quantity

import (
	"errors"
	"slices"
)

// Site is the place of a bench, for those who have not measured gravity there.
type Site struct {
	Latitude Quantity // [rad] geodetic
	Altitude Quantity // [m] above the sea
}

// After puts the readings that describe s behind that of gravity; where fields has none
// they are left out.
func (s *Site) After(fields []Field) []Field {
	at := slices.IndexFunc(fields, func(f Field) bool { return f.Name == "gravity" })
	if at < 0 {
		return fields
	}
	return slices.Insert(slices.Clip(fields), at+1,
		Field{Name: "latitude", Kind: Angle, To: &s.Latitude, Help: "of the place, in deg: with altitude it stands for gravity"},
		Field{Name: "altitude", Kind: Length, To: &s.Altitude, Help: "of the place, above the sea"})
}

// Tell works out the gravity of b by [Gravity] where the place is known. Half a place is
// refused, and a place beside a gravity that the same person has measured.
func (s *Site) Tell(b *Bench, measured bool) error {
	switch {
	case !s.Latitude.Given() && !s.Altitude.Given():
		return nil
	case !s.Altitude.Given():
		return errors.New("altitude is not given: gravity by place needs it beside the latitude")
	case !s.Latitude.Given():
		return errors.New("latitude is not given: gravity by place needs it beside the altitude")
	case measured:
		return errors.New("gravity and latitude: give one of them")
	}
	g, err := Gravity(s.Latitude, s.Altitude)
	if err == nil {
		b.Gravity = g
	}
	return err
}
