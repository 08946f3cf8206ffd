// Package prep turns what an appraisal asks for into workshop jobs, what they
// cost, and a plan of who does what, where and when.
//
// In go assessments, the progress of jobs already begun, the books, the
// policy and the workshop (people, bays, absences). Out come jobs without
// doubles, parts to order, blocks of work, and the queue of vans with the day
// each is ready. Everything is pure: the same input gives the same plan.
// Labour hours are hours of one person; money is pounds ex VAT.
//
//	jobs := prep.Jobs(assessment, yard.Progress[van.StockID], yard.Books, policy, learnt)
//	cost := prep.CostOf(jobs, assessment.Untested, van.Body, yard.Books, policy)
package prep
