package live

import (
	"fmt"
	"net/url"
	"strconv"
	"strings"
	"time"

	"joulewell/daq/frame"
)

// The rates that a viewer may ask for.
const (
	EveryReading = 0   // one message for each batch, at once
	DefaultRate  = 60  // [1/s]
	MaxRate      = 120 // [1/s]
)

// Subscription is what a viewer wants to see. Equal subscriptions share one encoding.
type Subscription struct {
	rate     int    // [1/s] messages at most, or EveryReading
	channels uint64 // bit i = frame.Columns()[i]
}

// Query is the query of one viewer, understood.
type Query struct {
	Subscription Subscription
	Ack          bool // the viewer acknowledges each message and is sent nothing when it stops
}

// ParseQuery reads the query of /live: rate, channels, ack. Its errors are sentences
// for the person who wrote the query.
func ParseQuery(q url.Values) (Query, error) {
	out := Query{Subscription: Subscription{rate: DefaultRate, channels: derivedColumns()}}
	for key, values := range q {
		if len(values) != 1 {
			return out, fmt.Errorf("query %s is given %d times: give it once", key, len(values))
		}
		var err error
		switch v := values[0]; key {
		case "rate":
			out.Subscription.rate, err = parseRate(v)
		case "channels":
			out.Subscription.channels, err = parseChannels(v)
		case "ack":
			if v != "yes" && v != "no" {
				err = fmt.Errorf("ack = %q: must be yes or no", v)
			}
			out.Ack = v == "yes"
		default:
			err = fmt.Errorf("query %q is unknown: rate, channels and ack are known", key)
		}
		if err != nil {
			return out, err
		}
	}
	return out, nil
}

func parseRate(s string) (int, error) {
	if s == "all" {
		return EveryReading, nil
	}
	n, err := strconv.Atoi(s)
	if err != nil || n < 1 || n > MaxRate {
		return 0, fmt.Errorf("rate = %q: must be a whole number from 1 to %d, or all", s, MaxRate)
	}
	return n, nil
}

func parseChannels(s string) (uint64, error) {
	var set uint64
	for name := range strings.SplitSeq(s, ",") {
		i := columnIndex(name)
		if i < 0 {
			return 0, fmt.Errorf("channel %q is unknown: the channels are %s", name, strings.Join(columnNames(), ", "))
		}
		set |= 1 << i
	}
	return set, nil
}

func columnIndex(name string) int {
	for i, c := range frame.Columns() {
		if c.Name == name {
			return i
		}
	}
	return -1
}

func columnNames() []string {
	var names []string
	for _, c := range frame.Columns() {
		names = append(names, c.Name)
	}
	return names
}

// derivedColumns is what a viewer sees who names no channels.
func derivedColumns() uint64 {
	var set uint64
	for i, c := range frame.Columns() {
		if c.Kind == frame.Derived {
			set |= 1 << i
		}
	}
	return set
}

// columns returns the subscribed columns in the order of frame.Columns.
func (s Subscription) columns() []frame.Column {
	var out []frame.Column
	for i, c := range frame.Columns() {
		if s.channels&(1<<i) != 0 {
			out = append(out, c)
		}
	}
	return out
}

// period is the least time between two messages.
func (s Subscription) period() time.Duration {
	if s.rate == EveryReading {
		return 0
	}
	return time.Second / time.Duration(s.rate)
}
