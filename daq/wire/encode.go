package wire

import (
	"math"
	"strconv"
)

// AppendFields appends a line that names the columns, with checksum and LF.
func AppendFields(dst []byte, names []string) []byte {
	from := len(dst)
	dst = append(dst, fieldsWord...)
	for i, n := range names {
		dst = append(dst, " ,"[min(i, 1)])
		dst = append(dst, n...)
	}
	return seal(dst, from)
}

// AppendReading appends the line that carries r in these columns, with checksum and
// LF. [Seq] and [DeviceUs] are taken from the fields of these names. Absent values,
// and values that no line can carry (not finite, beyond [MaxValue]), are left empty.
//
// The spelling is canonical: whole numbers without a point, others by the fewest
// digits that give the same float64. Ten values of 17 digits each can make a line
// longer than [MaxLine].
func AppendReading(dst []byte, columns []Column, r *Reading) []byte {
	from := len(dst)
	for i, c := range columns {
		if i > 0 {
			dst = append(dst, ',')
		}
		switch {
		case c == Seq:
			dst = strconv.AppendUint(dst, uint64(r.Seq), 10)
		case c == DeviceUs:
			dst = strconv.AppendUint(dst, uint64(r.DeviceUs), 10)
		case r.Has(c):
			dst = appendNumber(dst, r.Values[c])
		}
	}
	return seal(dst, from)
}

func appendNumber(dst []byte, v float64) []byte {
	magnitude := math.Abs(v)
	switch {
	case !(magnitude <= MaxValue): // NaN too
		return dst
	case v == math.Trunc(v):
		return strconv.AppendInt(dst, int64(v), 10)
	case magnitude < 1e-3:
		return strconv.AppendFloat(dst, v, 'e', -1, 64)
	}
	return strconv.AppendFloat(dst, v, 'f', -1, 64)
}
