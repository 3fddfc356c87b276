// Package wiring draws a described installation as elements between named terminals, and makes of them, in a stated
// condition, the network that an instrument or the supply sees.
//
// # Terminals
//
// A terminal is a name with slashes. What a learner can put a probe on:
//
//	origin/L origin/N origin/E        the supplier's terminals: line, neutral, means of earthing (L1 L2 L3 on three phases)
//	board/incoming/L …/N              supply side of the main switch
//	board/main/L …/N                  load side of the main switch
//	board/section-a/L                 line busbar of a section, after its RCD
//	board/bar/NA                      a neutral bar, by its label
//	board/met                         main earthing terminal and earth bar
//	board/earthing-conductor          the board end of the earthing conductor, in board/met or lifted from it
//	bond/water@met …@clamp            the ends of a bonding conductor; bond/water/part is the pipe or steel itself
//	ring-1/way/L                      load terminal of a circuit's breaker; way/N where an RCBO takes the neutral
//	ring-1/leg1/L ring-1/leg2/N …     ends of a ring's cables at the board, in their terminals or lifted
//	radial-1/end/L …/N …/E            the same for a circuit with one cable at the board
//	ring-1/s4/L …/N …/E               contacts of a socket-outlet or terminals of a connection unit
//	ring-1/s4-s5/L@s4                 a core's end at an accessory, in its terminal or lifted
//	lighting-1/l1/L …/N …/E           loop terminals of a fitting; SL and SN are the lampholder's contacts, plate its metalwork
//	lighting-1/door/COM …/L1 …/L2     terminals of a switch; sw1/E and sw1/plate are those of its box
//	spd/L spd/N spd/E                 a surge protective device in the board
//
// # Elements
//
// Every conductor end is a joint named as the end itself: lifting it, putting it in another terminal or making it loose
// changes that one element. Lengths have the resistance of their conductor at 20 °C. A fault changes elements and
// nothing else, see package faults.
package wiring
