package wire

import (
	"math"
	"strconv"
)

// MaxValue is the largest magnitude of a value [column's own]. All whole numbers up
// to it are exact as float64.
const MaxValue = 1e15

// maxDigits is the longest spelling of a number [bytes]; 17 significant digits with
// sign, point and exponent need 24.
const maxDigits = 32

// exactDigits is the number of decimal digits that always fit the 53 bits of a
// float64's mantissa.
const exactDigits = 15

// powers are the powers of ten that are exact as float64. One multiplication or
// division of two exact numbers rounds once, hence correctly.
var powers = [...]float64{
	1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11,
	1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22,
}

// parseStamp reads a whole number of 32 bits without sign.
func parseStamp(b []byte) (uint32, Reason) {
	if len(b) == 0 {
		return 0, NoStamp
	}
	if len(b) > maxDigits {
		return 0, NotANumber
	}
	var n uint64
	for _, c := range b {
		if c-'0' > 9 {
			return 0, NotANumber
		}
		if n <= math.MaxUint32 { // beyond that it is refused whatever follows
			n = n*10 + uint64(c-'0')
		}
	}
	if n > math.MaxUint32 {
		return 0, OutOfRange
	}
	return uint32(n), NoReason
}

// parseWhole is the fast way for what devices send most: up to exactDigits digits
// with or without a minus. Anything else is not ok.
func parseWhole(b []byte) (n int64, ok bool) {
	negative := b[0] == '-'
	if negative {
		b = b[1:]
	}
	if len(b) == 0 || len(b) > exactDigits {
		return 0, false
	}
	for _, c := range b {
		if c-'0' > 9 {
			return 0, false
		}
		n = n*10 + int64(c-'0')
	}
	if negative {
		n = -n
	}
	return n, true
}

// parseNumber reads [sign] digits [. digits] [e [sign] digits], where digits may be
// missing on one side of the point. Negative zero is taken as zero.
func parseNumber(b []byte) (float64, Reason) {
	if len(b) > maxDigits {
		return 0, NotANumber
	}
	if n, ok := parseWhole(b); ok {
		return float64(n), NoReason
	}
	rest := b
	negative := rest[0] == '-'
	if negative || rest[0] == '+' {
		rest = rest[1:]
	}
	mantissa, digits, rest := digitsOf(rest, 0)
	exponent := 0
	if len(rest) > 0 && rest[0] == '.' {
		var decimals int
		mantissa, decimals, rest = digitsOf(rest[1:], mantissa)
		digits += decimals
		exponent = -decimals
	}
	if digits == 0 {
		return 0, NotANumber
	}
	if len(rest) > 0 {
		e, ok := exponentOf(rest)
		if !ok {
			return 0, NotANumber
		}
		exponent += e
	}
	v := float64(mantissa)
	switch {
	case digits > exactDigits || exponent < -22 || exponent > 22:
		// Copied to the stack: maxDigits is what the compiler keeps there.
		var err error
		if v, err = strconv.ParseFloat(string(b), 64); err != nil {
			return 0, OutOfRange
		}
		negative = false
	case exponent < 0:
		v /= powers[-exponent]
	case exponent > 0:
		v *= powers[exponent]
	}
	if negative {
		v = -v
	}
	if math.Abs(v) > MaxValue {
		return 0, OutOfRange
	}
	return v + 0, NoReason
}

// digitsOf goes on reading a decimal number; n is how many digits it found. Past 19
// digits the number is wrong, which the caller sees by n.
func digitsOf(b []byte, number uint64) (_ uint64, n int, rest []byte) {
	for n < len(b) && b[n]-'0' <= 9 {
		number = number*10 + uint64(b[n]-'0')
		n++
	}
	return number, n, b[n:]
}

// exponentOf reads an exponent that must fill b. It is held to what decides between
// zero, a number and out of range.
func exponentOf(b []byte) (int, bool) {
	if b[0]|0x20 != 'e' {
		return 0, false
	}
	b = b[1:]
	negative := len(b) > 0 && b[0] == '-'
	if negative || len(b) > 0 && b[0] == '+' {
		b = b[1:]
	}
	if len(b) == 0 {
		return 0, false
	}
	e := 0
	for _, c := range b {
		if c-'0' > 9 {
			return 0, false
		}
		e = min(e*10+int(c-'0'), 9999)
	}
	if negative {
		e = -e
	}
	return e, true
}
