// Package sitting is one candidate's exam: a session in which nothing is said about
// what is typed, and every gate stays. On a rig it is a led session of package coach;
// alone it is the bench of package study, where every move is the candidate's own.
//
// It is a pure function of events. Time is in the events; there is no clock, chance,
// terminal or disk here, and nothing that depends on a candidate's draw: the same
// answers get the same questions and refusals whatever is planted.
//
// # Entries
//
// Marking knows a sitting by its record alone. These are the entries it can rely on, by
// type and by what stands in "at". What came of one stands in the verdict of its gave
// line: taken, not-taken (its form only, named in "rule"), halt (the candidate was
// stopped), late (typed after the time was over: kept, and counts for nothing).
//
// In every setting:
//
//	answer   assessor/name, assessor/code       who assesses; the code is a hash
//	answer   STEP or STEP/PART                  readings as typed, a row or one
//	answer   state/STEP, why/STEP               pass or fail, and the reason
//	answer   safety/…                           lock, key, notice, pairs and so on, as typed
//	correct  STEP/PART                          a reading put in place of an earlier one
//	stop     a question's id                    the candidate's own stop
//	stop     act/NAME                           a critical act that the assessor saw
//	decide   halt/N                             the assessor's decision, raw is the reason
//	observe  the id of the answer it is about   seen, not-seen, prompted
//	remark   the id of the answer it is about   free text
//	pause, resume                               the clock stands between them
//	time     a question's id                    the time ran out there; raw is what was
//	                                            being typed, and is always late
//
// On a rig (observed, hold-points) also:
//
//	answer   function/STEP, leads/STEP          what the instrument was set to, where its
//	                                            leads were
//	answer   the id of an ask, act or note      of the sequence, as in a led session
//	answer   hold/NAME/code                     a hold point passed
//	answer   check/STEP                         the assessor's own readings at a gate
//
// Alone also:
//
//	answer   study/MENU                         one move at the bench, as chosen
//
// and the gave line of a move that measured or changed something says in its params how
// the rig then stood, by the candidate's moves alone; never what was shown:
//
//	function, volt, rcd   of a measurement: the instrument's setting (package signature's
//	                      names), test voltage in V, RCD test
//	leads                 of a measurement: for each reading of it the two terminals, then
//	                      those clipped together with the first, then switch=position;
//	                      readings are parted by " | "
//	covers, lifted, out, in, open   what was off, out of its terminal, disconnected, plugged
//	                      in, switched off: names, parted by spaces
//	moved, position       end=terminal, switch=position
//	links                 a=b
//	null, lead            what the null takes off and what the leads have, in Ω
//	cleared               yes once the supervisor, played by the program, has passed a gate
//
// A param that would be empty is left out. The gave line of a halt at the bench names in
// "lacked" what was missing (facts of package safety, parted by spaces) and in "wanted"
// the kind of act.
package sitting
