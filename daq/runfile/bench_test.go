package runfile

import (
	"bytes"
	"encoding/csv"
	"io"
	"math"
	"strconv"
	"testing"

	"joulewell/daq/frame"
)

// BenchmarkAppendRow stands between its floor, copying the finished line, and the
// same line by strconv alone.
func BenchmarkAppendRow(b *testing.B) {
	f := swing(100)
	line := AppendRow(nil, f)
	buf := make([]byte, 0, 4096)
	b.Run("copy", func(b *testing.B) {
		for b.Loop() {
			buf = append(buf[:0], line...)
		}
	})
	b.Run("row", func(b *testing.B) {
		for b.Loop() {
			buf = AppendRow(buf[:0], f)
		}
	})
	b.Run("strconv", func(b *testing.B) {
		for b.Loop() {
			buf = strconvRow(buf[:0], f)
		}
	})
}

func strconvRow(dst []byte, f *frame.Frame) []byte {
	dst = strconv.AppendFloat(dst, f.Seconds(), 'f', 9, 64)
	for _, n := range []uint32{f.Epoch, f.Reading.Seq, f.Reading.DeviceUs} {
		dst = append(dst, ',')
		dst = strconv.AppendUint(dst, uint64(n), 10)
	}
	for i := range columns {
		dst = append(dst, ',')
		if v := columns[i].Of(f); !math.IsNaN(v) {
			dst = strconv.AppendFloat(dst, v, 'f', columns[i].Decimals, 64)
		}
	}
	dst = append(dst, ',')
	return append(f.Flags.Words(dst), '\n')
}

// BenchmarkRead stands beside encoding/csv, which only splits the lines, and
// encoding/csv with strconv, which does the same work.
func BenchmarkRead(b *testing.B) {
	const rows = 1000
	text := table(rows)
	perRow := func(b *testing.B) { b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/rows, "ns/row") }
	b.Run("reader", func(b *testing.B) {
		b.SetBytes(int64(len(text)))
		for b.Loop() {
			r, err := NewReader("run.csv", bytes.NewReader(text))
			if err != nil {
				b.Fatal(err)
			}
			var f frame.Frame
			for err == nil {
				err = r.Next(&f)
			}
			if err != io.EOF {
				b.Fatal(err)
			}
		}
		perRow(b)
	})
	for name, parse := range map[string]bool{"encoding-csv": false, "encoding-csv+strconv": true} {
		b.Run(name, func(b *testing.B) {
			b.SetBytes(int64(len(text)))
			for b.Loop() {
				r := csv.NewReader(bytes.NewReader(text))
				r.ReuseRecord = true
				for {
					row, err := r.Read()
					if err != nil {
						break
					}
					for _, s := range row {
						if parse {
							strconv.ParseFloat(s, 64)
						}
					}
				}
			}
			perRow(b)
		})
	}
}

// BenchmarkAppend is what one row costs the bench: formatting, the lock, the buffer.
func BenchmarkAppend(b *testing.B) {
	r, err := Create(openRoot(b, b.TempDir()), "run", Meta{}, Options{})
	if err != nil {
		b.Fatal(err)
	}
	f := swing(100)
	for b.Loop() {
		r.Append(f)
	}
	b.StopTimer()
	if err := r.Close(Meta{}); err != nil {
		b.Fatal(err)
	}
	b.ReportMetric(float64(r.State().Lost), "lost")
}
