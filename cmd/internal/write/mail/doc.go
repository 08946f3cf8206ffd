// Package mail says in a page of a mail what differs between two sets of
// reports: what a sales manager wants to know each morning.
//
// In go two folders of reports, the later and the earlier; out comes a Digest,
// written as plain text with lines of at most 78 characters, or as one page of
// HTML that needs nothing else and, where it is told where the reports are, leads to
// them. It reads the tables of the reports and run.json,
// never a yard, and shows no cell that holds a note, a name or an address of a
// customer. It reckons with the amounts as they stand in the reports; they are
// rounded already. Reports of an earlier version may lack a table or a column;
// the digest then says what could not be compared.
//
//	now, err := mail.Read(os.DirFS("reports"))
//	before, err := mail.Read(os.DirFS("reports.kept/2026-03-09"))
//	err = mail.Compare(now, before).Text(os.Stdout)
package mail
