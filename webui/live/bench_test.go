package live

import (
	"encoding/json"
	"fmt"
	"math"
	"testing"

	"github.com/gorilla/websocket"

	"joulewell/daq/frame"
)

// copied is global so that the compiler cannot leave the copying out.
var copied []frame.Frame

// What a batch of one frame costs the bench's goroutine, beside two floors: nobody
// watching, and copying the frame once.
func BenchmarkPublish(b *testing.B) {
	batch := testBatch(7, 1)
	b.Run("floor=copy", func(b *testing.B) {
		copied = make([]frame.Frame, blockLen)
		for i := range b.N {
			copied[i%blockLen] = batch.Frames[0]
		}
	})
	for _, c := range []struct {
		viewers int
		query   string
	}{{0, "nobody"}, {1, "rate=120"}, {1, "rate=all"}, {300, "rate=120"}, {300, "rate=all"}} {
		b.Run(fmt.Sprintf("viewers=%d,%s", c.viewers, c.query), func(b *testing.B) {
			h := newTestHub(b)
			for range c.viewers {
				go drain(h.dial(b, c.query))
			}
			b.ReportAllocs()
			b.ResetTimer()
			for range b.N {
				h.Publish(batch)
			}
		})
	}
}

// drain reads until the connection ends.
func drain(c *websocket.Conn) {
	for {
		if _, _, err := c.NextReader(); err != nil {
			return
		}
	}
}

// asStruct is what a frames message would be for a general encoder.
type asStruct struct {
	V    int                   `json:"v"`
	Type string                `json:"type"`
	Lost uint64                `json:"lost"`
	Seq  uint32                `json:"seq"`
	N    int                   `json:"n"`
	T    []float64             `json:"t_s"`
	Cols map[string][]*float64 `json:"columns"`
}

// Encoding one second of 120 frames/s at 60 messages/s, that is two frames a message,
// and a batch of 17: ours, the same content through encoding/json, and copying the
// finished bytes.
func BenchmarkEncode(b *testing.B) {
	for _, n := range []int{1, 2, 17} {
		var frames []frame.Frame
		for i := range n {
			frames = append(frames, testFrame(i))
		}
		s := Subscription{channels: derivedColumns()}
		e, spans := newEncoder(s.columns()), spansOf(frames...)
		size := len(e.message(spans).data)
		b.Run(fmt.Sprintf("frames=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(size))
			for range b.N {
				e.message(spans)
			}
		})
		b.Run(fmt.Sprintf("frames=%d,floor=encoding/json", n), func(b *testing.B) {
			b.ReportAllocs()
			for range b.N {
				m := asStruct{V: 1, Type: "frames", N: n, Cols: map[string][]*float64{}}
				for i := range frames {
					m.T = append(m.T, frames[i].Seconds())
				}
				for _, c := range s.columns() {
					for i := range frames {
						v := c.Of(&frames[i])
						if math.IsNaN(v) {
							m.Cols[c.Name] = append(m.Cols[c.Name], nil)
						} else {
							m.Cols[c.Name] = append(m.Cols[c.Name], &v)
						}
					}
				}
				if _, err := json.Marshal(m); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(fmt.Sprintf("frames=%d,floor=append", n), func(b *testing.B) {
			data := e.message(spans).data
			var out []byte
			b.SetBytes(int64(size))
			for range b.N {
				out = append(out[:0], data...)
			}
		})
	}
}

// From Publish to a viewer's hands over loopback, one reading at a time.
func BenchmarkDelivery(b *testing.B) {
	h := newTestHub(b)
	c := h.dial(b, "rate=all&channels=height_m,total_J")
	batch := testBatch(7, 1)
	b.ResetTimer()
	for range b.N {
		h.Publish(batch)
		if _, _, err := c.ReadMessage(); err != nil {
			b.Fatal(err)
		}
	}
}
