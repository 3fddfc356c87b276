// Package judge compares readings with the limits of an edition and with what
// the circuit itself says, and gives a verdict: ids and values, no sentences.
//
// A verdict is one of three. Fail: a limit is broken, or the pattern cannot be
// that of a sound circuit correctly connected. Doubt: every limit met, but
// published advice is not, or the reading does not fit the rest, or there is
// nothing to compare with. Pass: the rest. Nearness to a limit is said and
// never changes the verdict, except between two published roundings of one limit.
//
// Values are compared as decimals (edition.Cmp): a reading at a limit meets it.
package judge
