package main

import (
	"bufio"
	"encoding/json"
	"fmt"
	"os"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/gorilla/websocket"
)

// asCrowd names the page that makes this test program a crowd of viewers in front of it.
const asCrowd = "JOULEWELL_TEST_AS_CROWD"

// room is how many viewers watch: a large lecture hall.
const room = 300

// watched is what a crowd has seen.
type watched struct {
	Viewers  int     `json:"viewers"`
	Messages int     `json:"messages"`
	Cut      int     `json:"cut"`   // viewers whose connection broke
	Worst    float64 `json:"worst"` // [ms] longest silence of any viewer
	Usual    float64 `json:"usual"` // [ms] of the median viewer
}

// crowd watches a page until its standard input ends, then prints what it saw. Every tenth
// viewer asks as the Show page does, 120 times a second and acknowledging; the others at
// the usual rate.
func crowd(page string) error {
	url := "ws" + strings.TrimPrefix(page, "http") + "live"
	var mu sync.Mutex
	var all sync.WaitGroup
	var seen watched
	var silences []float64
	var sockets []*websocket.Conn
	over := make(chan struct{})
	for i := range room {
		query := ""
		if i%10 == 0 {
			query = "?rate=120&ack=yes"
		}
		ws, _, err := websocket.DefaultDialer.Dial(url+query, nil)
		for tries := 0; err != nil && tries < 5; tries++ { // as pages do; a busy machine may be late
			time.Sleep(100 * time.Millisecond)
			ws, _, err = websocket.DefaultDialer.Dial(url+query, nil)
		}
		if err != nil {
			return fmt.Errorf("viewer %d: %w", i, err)
		}
		sockets = append(sockets, ws)
		all.Go(func() {
			count, longest, last := 0, time.Duration(0), time.Now()
			for {
				_, text, err := ws.ReadMessage()
				if err != nil {
					break
				}
				var m struct {
					Type string `json:"type"`
					Seq  uint32 `json:"seq"`
				}
				if query != "" && json.Unmarshal(text, &m) == nil && m.Type == "frames" {
					ws.WriteJSON(map[string]any{"type": "ack", "seq": m.Seq})
				}
				now := time.Now()
				count, longest, last = count+1, max(longest, now.Sub(last)), now
			}
			mu.Lock()
			defer mu.Unlock()
			select {
			case <-over:
			default:
				seen.Cut++
			}
			seen.Messages += count
			silences = append(silences, longest.Seconds()*1e3)
		})
	}
	fmt.Println("watching")
	bufio.NewReader(os.Stdin).ReadString('\n')
	close(over)
	for _, ws := range sockets {
		ws.Close()
	}
	all.Wait()
	slices.Sort(silences)
	seen.Viewers, seen.Worst, seen.Usual = room, silences[room-1], silences[room/2]
	text, err := json.Marshal(seen)
	fmt.Printf("%s\n", text)
	return err
}
