// Package decimal writes numbers as decimals, fast and exactly rounded: the digits of
// run files and live messages. It allocates nothing and takes finite numbers only.
package decimal

import (
	"encoding/binary"
	"math"
	"strconv"
)

// pow10 holds the powers of ten that numbers are scaled by. All are
// exact in a float64, as every power up to 1e22 is.
var pow10 = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10,
	1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

// Power returns 10^n for n from 0 to 22.
func Power(n int) float64 { return pow10[n] }

// safe bounds the scaled integers of AppendFixed: below it a float64 still resolves
// an eighth, so that the half of the last digit can be told exactly.
const safe = 1 << 50

// AppendFixed appends the finite x with d digits (0 to 9) after the point: the same
// text as strconv.AppendFloat(dst, x, 'f', d, 64), at a fraction of the time.
//
// The exact value of x is rounded to the nearest last digit, and to the even one
// where x lies exactly between two. With s = 10^d, the product |x|*s is held as
// p + low without loss (p rounded, low by a fused multiply-add); floor(p) and the
// sign of (p - floor(p) - 1/2) + low then decide. From |x|*s = 2^50 on strconv does
// the work.
func AppendFixed(dst []byte, x float64, d int) []byte {
	abs, scale := math.Abs(x), pow10[d]
	p := float64(abs * scale) // the conversion keeps the compiler from fusing this product
	if !(p < safe) {
		return strconv.AppendFloat(dst, x, 'f', d, 64)
	}
	n := uint64(p)
	above := p - float64(n) - 0.5
	low := math.FMA(abs, scale, -p)
	if above > -low || (above == -low && n&1 == 1) {
		n++
	}
	return appendScaled(dst, math.Signbit(x), n, d)
}

// AppendShortest appends the finite x with as few digits as give the same float64
// back: whole numbers plain, short decimals by scaled integers, all others by strconv.
//
// A decimal of at most 15 digits that reads as x is the only one of that length, so
// the first one found, without trailing zeros, is the shortest.
func AppendShortest(dst []byte, x float64) []byte {
	const most = 1e15
	abs, negative := math.Abs(x), math.Signbit(x)
	for d := 0; d <= 4; d++ {
		p := float64(abs * pow10[d])
		if !(p < most) {
			break
		}
		if n := uint64(p + 0.5); float64(n)/pow10[d] == abs {
			return appendScaled(dst, negative, n, d)
		}
	}
	if abs >= 1e-6 && abs < 1e21 {
		return strconv.AppendFloat(dst, x, 'f', -1, 64)
	}
	return strconv.AppendFloat(dst, x, 'e', -1, 64)
}

// AppendSeconds appends ns [ns] as seconds with all nine decimals, which is exact.
func AppendSeconds(dst []byte, ns int64) []byte {
	n := uint64(ns)
	if ns < 0 {
		n = -n
	}
	return appendParts(dst, ns < 0, n/1e9, n%1e9, 9)
}

// appendScaled appends n/10^d, or its opposite, with all d digits (0 to 9) after the
// point; n is at most 2^50. So small an n is a float64 as it stands, and the whole
// part by division is never rounded up to the next number.
func appendScaled(dst []byte, negative bool, n uint64, d int) []byte {
	whole := uint64(float64(n) / pow10[d])
	return appendParts(dst, negative, whole, n-whole*uint64(pow10[d]), d)
}

// appendParts appends whole + part/10^d, or its opposite, with all d digits (0 to 9)
// after the point.
func appendParts(dst []byte, negative bool, whole, part uint64, d int) []byte {
	if negative {
		dst = append(dst, '-')
	}
	if whole < 10 {
		dst = append(dst, byte('0'+whole))
	} else {
		dst = strconv.AppendUint(dst, whole, 10)
	}
	if d == 0 {
		return dst
	}
	dst = append(dst, '.')
	if d == 9 {
		dst = append(dst, byte('0'+part/1e8))
		part, d = part%1e8, 8
	}
	at := len(dst)
	dst = binary.LittleEndian.AppendUint64(dst, eightDigits(part)>>(64-8*d))
	return dst[:at+d]
}

// eightDigits returns the eight digits of n < 10^8 as eight characters, the first
// one in the lowest byte. It halves the number three times, all parts at once: each
// product by a reciprocal (rounded up, and exact for so small numbers) stays within
// its own lane of the word.
func eightDigits(n uint64) uint64 {
	fours := n/10000 | n%10000<<32
	high := fours * 10486 >> 20 & 0x0000007f_0000007f // each over 100
	twos := high | (fours-high*100)<<16
	high = twos * 103 >> 10 & 0x000f000f_000f000f // each over 10
	return high | (twos-high*10)<<8 | 0x30303030_30303030
}
