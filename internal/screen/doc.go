// Package screen turns what the session says into lines of text: where you are, the
// cautions at the step, what to do and why, where the leads go, what to expect, the
// board and the ring drawn in text, the question; then the verdict with its reason.
//
// It is pure: a state and a width in, lines out. It holds no sentence. Sentences are
// content: the catalogue of package words, and the safety texts, which an overlay
// may add to or translate but not empty. A line carries a [Role], so that whoever
// prints it can colour it; every role can also be told from the words or the mark on
// the line, because colour is only a second signal.
//
// The plain form says in words what the drawings show, one sentence a line, for
// screen readers and recordings.
package screen
