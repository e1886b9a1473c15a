// Package live answers: how does a frame of the bench reach everyone who watches?
//
// In: batches of frames ([Hub.Publish], on the bench's goroutine) and the bench's
// status ([Hub.Tell]). Out: websocket messages, version 1, described in
// webui/README.md; every number in them carries its unit in its name, and an absent
// one is null. It refuses queries it does not understand, more viewers than it can
// serve, and client messages that are not JSON. It never makes the bench wait: a
// viewer who cannot keep up loses the oldest readings and is told how many.
//
// The way of a frame: Publish writes it to the [tape]; one goroutine for each kind
// of [Subscription] reads the tape, encodes one message and offers it to the outbox
// of every viewer with that subscription; one goroutine for each viewer writes its
// outbox to the network.
package live
