// Package virtual answers: what would a bench's device send, and what would be true
// meanwhile?
package virtual
