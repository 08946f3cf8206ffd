// Package swap replaces a folder of reports as a whole or not at all.
//
// In go the name of the folder and, one by one, the files of a new set of
// reports. Out comes that folder with the new set in it, in one step at the
// end; until then, and after a failure, a full disk or a kill at any moment,
// it holds the old set untouched. The package knows nothing of what the files
// say, and never deletes anything that it did not write itself.
//
//	w, err := swap.Begin("reports", "yard")
//	if err != nil { … }
//	defer w.Abort() // does nothing once the set is committed
//	f, err := w.Create("vans/KX21.html")
//	…
//	return w.Commit()
//
// # How it is kept whole
//
// Beside a folder called reports stand, while a run is at work, up to three
// things of ours:
//
//	.reports.lock            held by the one run that may write (it stays, empty)
//	.reports.vanwright-new   the set being written, or an old one being deleted
//	.reports.vanwright-old   the old set, always whole
//
// Where the system can exchange two names in one step (Linux, macOS), new and
// reports are exchanged and the old set, now under the name new, is deleted.
// Elsewhere reports becomes old, new becomes reports, and old is deleted, again
// under the name new. A kill between the first two of these leaves no reports, but old is
// whole: Current points a reader to it, and the next Begin puts it back.
//
// A folder is known to be ours by a small file in it, the first to be written
// and the last to be deleted. It is called .vanwright-unfinished until the set
// stands in its place, and again from when it is deleted, and .vanwright-reports
// in between. So a whole set under the name new is always one that was replaced.
//
// # Sets that are kept
//
// BeginKeeping has Commit move the old set, by one rename after the new one has
// taken its place, to a folder beside reports:
//
//	reports.kept/2026-03-09     named after the day that the set is of
//	reports.kept/2026-03-09.2   the next set of the same day that was replaced
//
// Only then are the sets beyond the newest deleted, each marked as unfinished and
// moved to new before, so that what has the name of a kept set is whole. A set whose run was killed
// before it could be moved is moved by the next.
//
// # Somebody's files
//
// A whole set names its files in .vanwright-files. A file beside them, save what a
// file manager or a spreadsheet drops, is somebody's: the set is then not replaced,
// and a kept set not deleted, until it is moved elsewhere.
//
// # Shares
//
// The lock is flock(2) on Linux and macOS and LockFileEx on Windows. It keeps apart
// the runs of one machine. Whether it reaches another machine that has the same
// share mounted is up to the file system: NFS on Linux passes it on as a lock of
// bytes, SMB may not (from memory, not tried). Where it does not reach, two runs at
// once find out: each looks, before it swaps, whether the folder that it wrote still
// stands under its name, and gives up where another run has taken it. A rename within
// one folder is one step for all clients of a share, and where two names cannot be
// exchanged, as on SMB, a reader may find no reports between two renames; Current
// then finds the old set. A test plays two runs whose locks do not reach each other. Such a
// pair may leave a set without its marker beside the folder; it is known by its listing.
//
// # Modes
//
// Files are made with mode 0640 and folders with 0750, less the umask: reports
// hold cost prices and vehicle identities, so they are for their owner and the
// owner's group.
package swap
