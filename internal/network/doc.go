// Package network solves the conductors of an installation as a network of resistances.
//
// The resistance between two places is found by star-mesh transformation: a node is taken out of the network, and the
// star of conductances that met in it is replaced by the mesh of conductances between its neighbours,
//
//	g[i][j] += g[i][k] * g[k][j] / sum over m of g[k][m]
//
// (A. Rosen, "A new network theorem", Journal of the IEE 62, 1924; for several nodes at once G. Kron, "Tensor Analysis
// of Networks", 1939. Both cited from memory.) Only sums, products and quotients of positive numbers occur, nothing is
// ever subtracted, so each step keeps its relative accuracy: 7 milliohms and 10 gigohms can stand in one network.
//
// Nodes of low degree are taken out first, so that sparse networks stay sparse (W. F. Tinney and J. W. Walker,
// "Direct solutions of sparse network equations by optimally ordered triangular factorization", Proceedings of the IEEE
// 55, 1967; from memory).
//
// An ideal link is no small resistance: its two nodes are one node. An open branch is no large resistance: it is left
// out. Joined places therefore read exactly 0, and places with no path between them exactly +Inf.
//
// Live quantities are solved in two steps: the network is reduced to the few nodes that sources, residual current
// devices and probes touch, and those are solved with complex phasors, see Live.
//
// Resistances are in ohms, conductances in siemens, voltages in volts, currents in amperes (r.m.s. phasors). Every
// product is rounded before it enters a sum, so that machines with and without a fused multiply-add agree.
package network
