package live

import (
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

func testMessage(seq uint32, frames uint64) *message {
	return &message{data: []byte(framesHead + `0,"n":1}`), seq: seq, frames: frames}
}

func TestOutboxKeepsTheNewest(t *testing.T) {
	o := newOutbox(3, false)
	now := time.Now()
	for seq := range uint32(5) {
		lost := o.offer(testMessage(seq, 10))
		if want := uint64(0); seq < 3 && lost != want || seq >= 3 && lost != 10 {
			t.Errorf("offer %d lost %d readings", seq, lost)
		}
	}
	o.tell([]byte("old status"))
	o.tell([]byte("new status"))
	want := []string{"new status", framesHead + `20,"n":1}`, framesHead + `0,"n":1}`, framesHead + `0,"n":1}`}
	for i, w := range want {
		if got, ok := o.take(now); !ok || string(got) != w {
			t.Errorf("take %d: %q, %v; want %q", i, got, ok, w)
		}
	}
	if got, ok := o.take(now); ok {
		t.Errorf("an empty outbox gives %q", got)
	}
}

// What is skipped before a message counts as lost, even while nothing is dropped.
func TestOutboxCountsSkipped(t *testing.T) {
	o := newOutbox(3, false)
	m := testMessage(1, 1)
	m.skipped = 4000
	if lost := o.offer(m); lost != 4000 {
		t.Errorf("lost %d, want 4000", lost)
	}
	if got, _ := o.take(time.Now()); !strings.HasPrefix(string(got), framesHead+"4000,") {
		t.Errorf("message %s, want lost 4000", got)
	}
}

func TestFlow(t *testing.T) {
	at := time.Now()
	var f flow
	if f.held(at) {
		t.Error("held before anything was sent")
	}
	f.sent(7, at)
	if f.held(at.Add(flowAge)) || !f.held(at.Add(flowAge+1)) {
		t.Error("must be held from the moment at which the oldest is older than flowAge")
	}
	f.acknowledged(8)
	if !f.held(at.Add(flowAge + 1)) {
		t.Error("an acknowledgement of something never sent releases it")
	}
	f.acknowledged(7)
	if f.held(at.Add(time.Hour)) {
		t.Error("held though all is acknowledged")
	}
	for seq := range uint32(flowMessages) {
		if f.held(at) {
			t.Fatalf("held after %d messages", seq)
		}
		f.sent(seq, at)
	}
	if !f.held(at) {
		t.Errorf("not held with %d messages open", flowMessages)
	}
	f.acknowledged(9)
	if f.count != flowMessages-10 {
		t.Errorf("%d open after the tenth was acknowledged", f.count)
	}
}

// A held outbox gives nothing, not even a status, loses the oldest, and goes on with
// the newest after the acknowledgement.
func TestOutboxHeld(t *testing.T) {
	o := newOutbox(2, true)
	at := time.Now()
	o.offer(testMessage(1, 5))
	if _, ok := o.take(at); !ok {
		t.Fatal("nothing to take")
	}
	for seq := uint32(2); seq <= 6; seq++ {
		o.offer(testMessage(seq, 5))
	}
	o.tell([]byte("status"))
	late := at.Add(flowAge + time.Second)
	if got, ok := o.take(late); ok {
		t.Fatalf("a held outbox gives %s", got)
	}
	o.acknowledge(1)
	if got, _ := o.take(late); string(got) != "status" {
		t.Errorf("first comes %s, want the status", got)
	}
	if got, _ := o.take(late); !strings.HasPrefix(string(got), framesHead+"15,") {
		t.Errorf("then comes %s, want lost 15", got)
	}
}

// However offers, takes and acknowledgements are mixed: taken + lost + still inside
// = offered.
func TestOutboxAccounts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := newOutbox(rapid.IntRange(1, 5).Draw(t, "capacity"), rapid.Bool().Draw(t, "ack"))
		now := time.Now()
		var offered, lost, taken uint64
		var seq uint32
		take := func() bool {
			before := o.count
			data, ok := o.take(now)
			if ok {
				taken += uint64(before-o.count) * 3
				lost += lostIn(t, data)
			}
			return ok
		}
		for range rapid.IntRange(1, 400).Draw(t, "steps") {
			switch rapid.IntRange(0, 5).Draw(t, "step") {
			case 0, 1, 2:
				seq++
				m := testMessage(seq, 3)
				m.skipped = uint64(rapid.IntRange(0, 1).Draw(t, "skipped"))
				o.offer(m)
				offered += 3 + m.skipped
			case 3, 4:
				take()
			case 5:
				o.acknowledge(uint32(rapid.IntRange(0, int(seq)).Draw(t, "seq")))
			}
		}
		if inside := uint64(o.count)*3 + o.lost; taken+lost+inside != offered {
			t.Fatalf("%d taken + %d lost + %d inside, %d offered", taken, lost, inside, offered)
		}
	})
}

func lostIn(t *rapid.T, data []byte) uint64 {
	rest, ok := strings.CutPrefix(string(data), framesHead)
	if !ok {
		t.Fatalf("not a frames message: %s", data)
	}
	var n uint64
	for rest[0] != ',' {
		n, rest = n*10+uint64(rest[0]-'0'), rest[1:]
	}
	return n
}
