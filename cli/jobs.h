/* SPDX-License-Identifier: ISC */
/** \file jobs.h
 * Numbered jobs on as many threads as there are processors.
 */
#ifndef CW_JOBS_H
#define CW_JOBS_H

#include <stdbool.h>
#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

/** Do jobs 0 to \p count - 1, each once, in any order and several at a time. Where no thread can be
 * had, the caller's does them all.
 * \param work does one; false where it failed, with a message. It may call what is safe on any thread
 *             and cw_jobs_progress().
 * \return false where a job failed, of which the first message is shown, or an interrupt came (see
 *         cw_folder_interrupted()); no job is begun after either. */
bool cw_jobs_run(size_t count, bool (*work)(void *data, size_t job), void *data);

/** Threads that do the jobs, the caller's with them. */
size_t cw_jobs_threads(void);

/** Show what is being done, from within a job, see cw_progress(); cheap to call often.
 * \param share of the job at hand, 0 to 1 */
void cw_jobs_progress(const char *what, double share);

/** True where the jobs are for nothing: a job has failed, or an interrupt came. Long jobs look
 * at it and give up without a message. */
bool cw_jobs_stopped(void);

#ifdef __cplusplus
}
#endif
#endif
