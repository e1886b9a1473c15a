//go:build linux

package source

import (
	"context"
	"os"
	"testing"

	"golang.org/x/sys/unix"
)

// The floor of both benchmarks is a bare loop of os.File.Read on the same kind of
// pseudo-terminal. A terminal has no bit rate: a real line at 115200 bit/s brings
// 11,520 bytes a second, about 100 lines.

const line = "1042,5210034,3171,-184223,2140*16\n"

// lane is a line being read: the number of bytes received goes to got.
type lane struct {
	name string
	read func(b *testing.B, node string, got func(n int) bool) (stop func())
}

var lanes = []lane{
	{"serial source", func(b *testing.B, node string, got func(n int) bool) func() {
		s, err := NewSerial(SerialOptions{Port: node})
		if err != nil {
			b.Fatal(err)
		}
		ctx, cancel := context.WithCancel(b.Context())
		done := make(chan struct{})
		opened := make(chan struct{})
		go func() {
			defer close(done)
			s.Run(ctx, func(e Event) bool {
				if e.Kind == Opened {
					close(opened)
				}
				return ctx.Err() == nil && (e.Kind != Bytes || got(len(e.Bytes)))
			})
		}()
		<-opened
		return func() { cancel(); <-done }
	}},
	{"floor os.File", func(b *testing.B, node string, got func(n int) bool) func() {
		if err := configure(node, 115200); err != nil {
			b.Fatal(err)
		}
		f, err := os.OpenFile(node, os.O_RDWR|unix.O_NONBLOCK|unix.O_NOCTTY, 0)
		if err != nil {
			b.Fatal(err)
		}
		done := make(chan struct{})
		go func() {
			defer close(done)
			buf := make([]byte, 4096)
			for {
				n, err := f.Read(buf)
				if err != nil || !got(n) {
					return
				}
			}
		}()
		return func() { f.Close(); <-done }
	}},
}

// BenchmarkLineLatency is the time from the device's write of a line to its bytes in
// the reader's hand, one line at a time.
func BenchmarkLineLatency(b *testing.B) {
	for _, l := range lanes {
		b.Run(l.name, func(b *testing.B) {
			c := plugIn(b)
			arrived := make(chan int)
			over := make(chan struct{})
			stop := l.read(b, c.node, func(n int) bool {
				select {
				case arrived <- n:
					return true
				case <-over:
					return false
				}
			})
			for b.Loop() {
				c.send(line)
				for left := len(line); left > 0; {
					left -= <-arrived
				}
			}
			close(over)
			stop()
		})
	}
}

// BenchmarkThroughput is the time per line when the device sends without a pause.
func BenchmarkThroughput(b *testing.B) {
	for _, l := range lanes {
		b.Run(l.name, func(b *testing.B) {
			c := plugIn(b)
			const batch = 1000
			arrived, over := make(chan struct{}), make(chan struct{})
			sum := 0
			stop := l.read(b, c.node, func(n int) bool {
				if sum += n; sum < batch*len(line) {
					return true
				}
				sum = 0
				select {
				case arrived <- struct{}{}:
					return true
				case <-over:
					return false
				}
			})
			for b.Loop() {
				for range batch {
					c.send(line)
				}
				<-arrived
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/batch, "ns/line")
			close(over)
			stop()
		})
	}
}

// BenchmarkStop is the time from the end of the context to the return of Run, with a
// mute device: half of idleAfter on average.
func BenchmarkStop(b *testing.B) {
	c := plugIn(b)
	for b.Loop() {
		lanes[0].read(b, c.node, func(int) bool { return true })()
	}
}
