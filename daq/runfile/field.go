package runfile

import (
	"errors"
	"fmt"
	"math"
	"strconv"

	"joulewell/daq/decimal"
	"joulewell/daq/frame"
	"joulewell/daq/wire"
	"joulewell/energy"
)

// field puts the text of one column into a frame.
type field func(f *frame.Frame, text []byte) error

// fieldOf returns what reads the column called name, or nil for a column that is
// not of a run file.
func fieldOf(name string) field {
	switch name {
	case timeName:
		return func(f *frame.Frame, text []byte) (err error) {
			f.T, err = parseNanoseconds(text)
			return err
		}
	case epochName:
		return whole(func(f *frame.Frame) *uint32 { return &f.Epoch })
	case seqName:
		return whole(func(f *frame.Frame) *uint32 { return &f.Reading.Seq })
	case deviceName:
		return whole(func(f *frame.Frame) *uint32 { return &f.Reading.DeviceUs })
	case flagsName:
		return parseFlags
	}
	raw := wire.EchoUs
	for i := range columns {
		switch {
		case columns[i].Name == name && columns[i].Kind == frame.Raw:
			return rawField(raw)
		case columns[i].Name == name:
			return derivedField(derived[name])
		case columns[i].Kind == frame.Raw:
			raw++ // the raw columns come in the order of the wire columns
		}
	}
	return nil
}

// derived says where in a frame each derived column lives: the way back from
// [frame.Column.Of].
var derived = map[string]func(*frame.Frame) *float64{
	"distance_m":        func(f *frame.Frame) *float64 { return &f.Distance.Value },
	"force_N":           func(f *frame.Frame) *float64 { return &f.Force.Value },
	"extension_m":       func(f *frame.Frame) *float64 { return &f.Extension.Value },
	"height_m":          func(f *frame.Frame) *float64 { return &f.Height.Value },
	"velocity_m_s":      func(f *frame.Frame) *float64 { return &f.Velocity.Value },
	"kinetic_J":         func(f *frame.Frame) *float64 { return &f.Energies.Kinetic.Value },
	"elastic_J":         func(f *frame.Frame) *float64 { return &f.Energies.Elastic.Value },
	"gravitational_J":   func(f *frame.Frame) *float64 { return &f.Energies.Gravitational.Value },
	"total_J":           func(f *frame.Frame) *float64 { return &f.Energies.Total.Value },
	"u_kinetic_J":       func(f *frame.Frame) *float64 { return &f.Energies.Kinetic.U },
	"u_elastic_J":       func(f *frame.Frame) *float64 { return &f.Energies.Elastic.U },
	"u_gravitational_J": func(f *frame.Frame) *float64 { return &f.Energies.Gravitational.U },
	"u_total_J":         func(f *frame.Frame) *float64 { return &f.Energies.Total.U },
}

// blank is the frame in which everything is absent.
var blank = frame.Frame{
	Distance: energy.None(), Force: energy.None(), Height: energy.None(),
	Extension: energy.None(), Velocity: energy.None(), Energies: energy.NoEnergies(),
}

func whole(at func(*frame.Frame) *uint32) field {
	return func(f *frame.Frame, text []byte) (err error) {
		*at(f), err = parseUint32(text)
		return err
	}
}

func rawField(c wire.Column) field {
	return func(f *frame.Frame, text []byte) error {
		if len(text) == 0 {
			return nil
		}
		v, err := parseNumber(text)
		if err != nil {
			return err
		}
		f.Reading.Set(c, v)
		return nil
	}
}

func derivedField(at func(*frame.Frame) *float64) field {
	return func(f *frame.Frame, text []byte) (err error) {
		if len(text) == 0 {
			return nil
		}
		*at(f), err = parseNumber(text)
		return err
	}
}

// The refusals of a field's text, each saying what would pass.
var (
	errNumber = errors.New("must be a decimal number such as -0.25 or 1e-7, or empty")
	errWhole  = errors.New("must be a whole number from 0 to 4294967295")
	errTime   = errors.New("must be seconds with at most nine digits after the point, such as 12.345000000")
	errFlags  = errors.New("must be words such as gap or no-echo with single spaces between them, or empty")
)

func parseFlags(f *frame.Frame, text []byte) error {
	if len(text) == 0 {
		return nil
	}
	flags, known := frame.ParseFlags(string(text))
	if !known {
		return errFlags
	}
	f.Flags = flags
	return nil
}

func parseUint32(text []byte) (uint32, error) {
	if len(text) == 0 || len(text) > 10 {
		return 0, errWhole
	}
	var n uint64
	for _, c := range text {
		if c < '0' || c > '9' {
			return 0, errWhole
		}
		n = n*10 + uint64(c-'0')
	}
	if n > math.MaxUint32 {
		return 0, errWhole
	}
	return uint32(n), nil
}

// plain is a number in plain notation: sign, digits, perhaps a point.
type plain struct {
	digits   uint64 // [1] all digits as one whole number
	count    int    // [1] how many digits are written, leading zeros included
	decimals int    // [1] how many of them stand after the point
	negative bool
}

// parseDecimal reads plain notation. It reports false for anything else, an
// exponent included, and for more digits than a uint64 holds.
func parseDecimal(text []byte) (d plain, ok bool) {
	point := -1
	for i, c := range text {
		switch {
		case c >= '0' && c <= '9':
			d.digits = d.digits*10 + uint64(c-'0')
			d.count++
		case c == '.' && point < 0:
			point = d.count
		case c == '-' && i == 0:
			d.negative = true
		default:
			return d, false
		}
	}
	if point >= 0 {
		d.decimals = d.count - point
	}
	return d, d.count > 0 && d.count <= 19
}

// parseNumber reads what package decimal writes, with the nearest float64. Up to 2^53 the digits and the power of ten are exact, so one division
// rounds once; all else is left to strconv, whose wider grammar (inf, hexadecimal,
// underscores) is refused first.
func parseNumber(text []byte) (float64, error) {
	if d, ok := parseDecimal(text); ok && d.digits <= 1<<53 {
		v := float64(d.digits) / decimal.Power(d.decimals)
		if d.negative {
			v = -v
		}
		return v, nil
	}
	for _, c := range text {
		if (c < '0' || c > '9') && c != '-' && c != '+' && c != '.' && c != 'e' && c != 'E' {
			return 0, errNumber
		}
	}
	v, err := strconv.ParseFloat(string(text), 64)
	if err != nil {
		return 0, errNumber
	}
	return v, nil
}

// parseNanoseconds reads seconds exactly.
func parseNanoseconds(text []byte) (int64, error) {
	d, ok := parseDecimal(text)
	if !ok || d.decimals > 9 {
		return 0, errTime
	}
	n := d.digits
	for range 9 - d.decimals {
		if n > math.MaxUint64/10 {
			return 0, errTime
		}
		n *= 10
	}
	switch {
	case d.negative && n <= -math.MinInt64:
		return -int64(n), nil // also right for the one number that has no opposite
	case !d.negative && n <= math.MaxInt64:
		return int64(n), nil
	}
	return 0, errTime
}

// refused names the column and quotes the text that could not be read.
func refused(column string, text []byte, why error) error {
	const most = 40
	shown := string(text)
	if len(shown) > most {
		shown = shown[:most] + "..."
	}
	return fmt.Errorf("%s = %q: %w", column, shown, why)
}
