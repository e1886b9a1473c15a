package runfile

import (
	"math"
	"strconv"

	"joulewell/daq/decimal"
	"joulewell/daq/frame"
)

// columns is the middle of every row.
var columns = frame.Columns()

// The names of the columns around those of [frame.Columns].
const (
	timeName   = "time_s"
	epochName  = "epoch"
	seqName    = "seq"
	deviceName = "device_us"
	flagsName  = "flags"
)

// AppendHeader appends the first line of a run file, line end included.
func AppendHeader(dst []byte) []byte {
	dst = append(dst, timeName+","+epochName+","+seqName+","+deviceName+","...)
	for i := range columns {
		dst = append(dst, columns[i].Name...)
		dst = append(dst, ',')
	}
	return append(dst, flagsName+"\n"...)
}

// AppendRow appends f as one line of a run file, line end included.
//
// The time is exact to the nanosecond. Raw columns give the same number back when
// read; the others are rounded to the digits that [frame.Column] names, halves to
// even. A quantity that is absent, or not finite, is an empty field.
func AppendRow(dst []byte, f *frame.Frame) []byte {
	dst = decimal.AppendSeconds(dst, f.T)
	dst = append(dst, ',')
	dst = strconv.AppendUint(dst, uint64(f.Epoch), 10)
	dst = append(dst, ',')
	dst = strconv.AppendUint(dst, uint64(f.Reading.Seq), 10)
	dst = append(dst, ',')
	dst = strconv.AppendUint(dst, uint64(f.Reading.DeviceUs), 10)
	dst = append(dst, ',')
	for i := range columns {
		c := &columns[i]
		switch v := c.Of(f); {
		case !(math.Abs(v) <= math.MaxFloat64): // absent, or not finite
		case c.Decimals < 0:
			dst = decimal.AppendShortest(dst, v)
		default:
			dst = decimal.AppendFixed(dst, v, c.Decimals)
		}
		dst = append(dst, ',')
	}
	dst = f.Flags.Words(dst)
	return append(dst, '\n')
}
