package lint

import (
	"fmt"
	"strings"

	"wanderlead/internal/sequence"
	"wanderlead/safety"
)

// ledger follows what is opened and closed from the first step to the last: what no gate tolerates is closed before it,
// nothing is closed that is not open, and what a test relies on is opened and closed in the test's own block, so that a
// redo of the test opens and closes it again.
func (l *linter) ledger(p *sequence.Program) {
	openBy := map[int]int{} // item -> step that opened it
	for i := range p.Steps {
		st := &p.Steps[i]
		switch {
		case st.Opens >= 0:
			if by, open := openBy[st.Opens]; open {
				l.at("ledger", st, "leave one of the two out, or give them two items", "%s is opened here, but step %s has opened it already",
					p.Items[st.Opens].ID, p.Steps[by].ID)
			}
			openBy[st.Opens] = i
			l.cpcByClass(p, st)
		case st.Closes >= 0:
			by, open := openBy[st.Closes]
			if !open {
				l.at("ledger", st, "leave it out, or open the item before", "%s is closed here, but it is not open", p.Items[st.Closes].ID)
				continue
			}
			delete(openBy, st.Closes)
			l.sameBlock(p, by, i)
		case st.Form == sequence.Gate:
			l.openAt(p, st, openBy)
		}
	}
	for it, by := range openBy {
		l.at("ledger", &p.Steps[by], "add the act that closes it", "%s is opened here, and it is still open at the end", p.Items[it].ID)
	}
}

// cpcByClass complains about a cpc that is lifted as any other conductor: that it is one is told by the class of its item,
// and insulation is not read while it is out.
func (l *linter) cpcByClass(p *sequence.Program, st *sequence.Step) {
	it := &p.Items[st.Opens]
	if it.Class != safety.Conductor || !strings.Contains(it.ID[strings.LastIndex(it.ID, "/")+1:], "cpc") {
		return
	}
	l.at("ledger", st, "write it as cpc, there and where it is closed; line and neutral as conductor", "%s holds a cpc by its name, and is written as conductor", it.ID)
}

// openAt complains about what is open at a gate that does not tolerate it.
func (l *linter) openAt(p *sequence.Program, gate *sequence.Step, openBy map[int]int) {
	for it, by := range openBy {
		item := &p.Items[it]
		if safety.Tolerated(gate.Want.Kind, item.Class) {
			continue
		}
		st := &p.Steps[by]
		q := l.add("ledger", gate.At, "put the act that closes it before this gate", "%s is open at this gate, which tolerates %s",
			itemName(item), toleratedBy(gate.Want.Kind))
		f, line, _ := st.At.Pos()
		q.Hints = append(q.Hints, fmt.Sprintf("it is opened at %s:%d", f, line))
	}
}

// itemName is an item without its circuit: the class and the name as they are written.
func itemName(it *sequence.Item) string {
	_, name, ok := strings.Cut(it.ID, "/")
	if !ok {
		name = it.ID
	}
	return it.Class.String() + " " + name
}

func toleratedBy(gate safety.Kind) string {
	var names []string
	for c := safety.Cover; c.String() != "unknown"; c++ {
		if safety.Tolerated(gate, c) {
			names = append(names, c.String())
		}
	}
	if len(names) == 0 {
		return "nothing open"
	}
	return "only " + strings.Join(names, " and ")
}

// sameBlock complains about an item that is opened in one block and closed in another. The board's cover and the access
// to the incoming terminals stay open across blocks: they are part of getting at the board, not of one test.
func (l *linter) sameBlock(p *sequence.Program, by, end int) {
	item := &p.Items[p.Steps[end].Closes]
	if item.Circuit < 0 && item.Class == safety.Cover || item.Class == safety.IncomingAccess {
		return
	}
	if p.Steps[by].Block == p.Steps[end].Block {
		return
	}
	f, line, _ := p.Steps[by].At.Pos()
	l.at("ledger", &p.Steps[end], "open it, test and close it in one block: or one each:",
		"%s is closed in another block than the one it is opened in (%s:%d): a redo would not open it again", itemName(item), f, line)
}
