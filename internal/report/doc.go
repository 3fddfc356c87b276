// Package report makes the schedule of circuit details and test results from a
// session: as a value, as JSON, as CSV for a spreadsheet, and as text for a
// terminal.
//
// [Build] is pure: it reads the state that a replay of the record gave, and what
// the record's header holds ([Meta]). Nothing is judged here; verdicts are those of
// the session. Every entry of the session is in the schedule, corrected and repeated
// ones too, and whatever was not measured says why.
//
// The items and their keys are those of the generic schedule of circuit details and
// test results (BS 7671:2018 Appendix 6, model forms, with the items that A2:2022
// added); [Columns] lists them, with the reading that each one comes from. Layout
// and wording are our own; wording stands in the text catalogue under "report.".
//
// A reading above the instrument's range is never a number here: its value is null,
// its state is over_range, and its text keeps the sign (">299").
package report
