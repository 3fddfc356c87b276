// Package faultfind reasons backwards from readings to faults: every fault of package faults, at every place on a circuit
// where it makes sense and with its size fitted, is put into the network and held against what the instrument showed.
//
// Nothing here is a rule of thumb about a pattern. A hypothesis is the list of elements by which an installation with the
// fault differs from one without (compared element by element, so it is what package faults plants and nothing else).
// For each condition of a test the installation is reduced once to the terminals that some hypothesis touches; a
// hypothesis is then a handful of changed branches on a small network. The package's tests hold the answers against the
// full network of package wiring and the instrument of package meter.
//
// How well a hypothesis reproduces the readings is a likelihood: an instrument's gain and offset are common to all its
// readings of a function and are estimated along, so are leads that were not nulled; what is left has to lie within the
// digit or so by which readings scatter. Innocent causes come first: they are likelier than any fault before a reading is
// looked at. The shares that come out are shares among the causes this package knows, not probabilities of the world.
//
// Resistances are in ohms, insulation in megohms, times in milliseconds, currents in milliamperes or kiloamperes, as the
// readings are. +Inf is over range or no trip, NaN no reading.
package faultfind
