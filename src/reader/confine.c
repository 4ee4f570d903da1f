/* How the reader shuts itself in. */
#include "reader/reader.h"

#include <errno.h>
#include <fcntl.h>
#include <linux/audit.h>
#include <linux/filter.h>
#include <linux/seccomp.h>
#include <stddef.h>
#include <sys/prctl.h>
#include <sys/resource.h>
#include <sys/syscall.h>
#include <unistd.h>

/* A sanitizer takes terabytes of address space for itself. */
#if defined(__SANITIZE_ADDRESS__)
#define ADDRESS_SPACE_LIMIT 0
#elif defined(__has_feature)
#if __has_feature(address_sanitizer)
#define ADDRESS_SPACE_LIMIT 0
#endif
#endif
#ifndef ADDRESS_SPACE_LIMIT
#define ADDRESS_SPACE_LIMIT 1
#endif

#if defined(__x86_64__)
#define MACHINE AUDIT_ARCH_X86_64
#elif defined(__aarch64__)
#define MACHINE AUDIT_ARCH_AARCH64
#else
#define MACHINE 0
#endif

/* The network, other processes, terminals (an ioctl can type into one), ways round the filter, and
 * what changes the file system. */
static const int refused[] = {
    SYS_socket,
    SYS_socketpair,
    SYS_connect,
    SYS_bind,
    SYS_accept,
    SYS_accept4,
    SYS_listen,
    SYS_sendto,
    SYS_sendmsg,
    SYS_execve,
    SYS_execveat,
    SYS_clone,
    SYS_clone3,
    SYS_ptrace,
    SYS_ioctl,
    SYS_kill,
    SYS_tkill,
    SYS_rt_sigqueueinfo,
    SYS_rt_tgsigqueueinfo,
    SYS_pidfd_send_signal,
    SYS_setpriority,
    SYS_ioprio_set,
    SYS_sched_setaffinity,
    SYS_sched_setparam,
    SYS_sched_setscheduler,
    SYS_sched_setattr,
    SYS_mount,
    SYS_umount2,
    SYS_chroot,
    SYS_pivot_root,
    SYS_unshare,
    SYS_setns,
    SYS_bpf,
    SYS_keyctl,
    SYS_add_key,
    SYS_io_uring_setup,
    SYS_userfaultfd,
    SYS_perf_event_open,
    SYS_personality,
    SYS_process_vm_readv,
    SYS_process_vm_writev,
    SYS_pidfd_open,
    SYS_pidfd_getfd,
    SYS_openat2,
    SYS_open_by_handle_at,
    SYS_mkdirat,
    SYS_mknodat,
    SYS_unlinkat,
    SYS_renameat2,
    SYS_linkat,
    SYS_symlinkat,
    SYS_fchmod,
    SYS_fchmodat,
    SYS_fchown,
    SYS_fchownat,
    SYS_truncate,
    SYS_ftruncate,
    SYS_utimensat,
    SYS_setxattr,
    SYS_lsetxattr,
    SYS_fsetxattr,
    SYS_removexattr,
    SYS_fallocate,
    SYS_shmget,
    SYS_msgget,
    SYS_semget,
    SYS_mq_open,
    SYS_prlimit64,
    SYS_setrlimit,
#ifdef __x86_64__
    SYS_creat,
    SYS_fork,
    SYS_vfork,
    SYS_mkdir,
    SYS_rmdir,
    SYS_mknod,
    SYS_unlink,
    SYS_rename,
    SYS_renameat,
    SYS_link,
    SYS_symlink,
    SYS_chmod,
    SYS_chown,
    SYS_lchown,
    SYS_utime,
    SYS_utimes,
    SYS_futimesat,
#endif
};

/* The only process that it may send a signal, as abort does, is itself. */
static size_t refuse_signals(struct sock_filter *to)
{
    struct sock_filter check[] = {
        BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, nr)),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, SYS_tgkill, 0, 3),
        BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, args)),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, (unsigned)getpid(), 1, 0),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ERRNO | EPERM),
    };
    size_t count = sizeof check / sizeof *check;
    for (size_t i = 0; i < count; i++) to[i] = check[i];
    return count;
}

enum { REFUSED = sizeof refused / sizeof *refused, WRITES = O_WRONLY | O_RDWR | O_CREAT | O_TRUNC };

/* Refuses the call `number` when its argument has one of the flags that write. */
static size_t refuse_writing(struct sock_filter *to, int number, unsigned argument)
{
    struct sock_filter check[] = {
        BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, nr)),
        BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, (unsigned)number, 0, 3),
        BPF_STMT(BPF_LD | BPF_W | BPF_ABS,
                 (unsigned)(offsetof(struct seccomp_data, args) + 8 * argument)),
        BPF_JUMP(BPF_JMP | BPF_JSET | BPF_K, WRITES, 0, 1),
        BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ERRNO | EPERM),
    };
    size_t count = sizeof check / sizeof *check;
    for (size_t i = 0; i < count; i++) to[i] = check[i];
    return count;
}

/* Calls of another machine's numbering (32-bit ones on a 64-bit kernel) end the process. */
static bool filter_calls(void)
{
    struct sock_filter code[2 * REFUSED + 30];
    size_t n = 0;
    code[n++] =
        (struct sock_filter)BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, arch));
    code[n++] = (struct sock_filter)BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, MACHINE, 1, 0);
    code[n++] = (struct sock_filter)BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_KILL_PROCESS);
    code[n++] =
        (struct sock_filter)BPF_STMT(BPF_LD | BPF_W | BPF_ABS, offsetof(struct seccomp_data, nr));
#ifdef __x86_64__
    code[n++] = (struct sock_filter)BPF_JUMP(BPF_JMP | BPF_JGE | BPF_K, 0x40000000, 0, 1);
    code[n++] = (struct sock_filter)BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_KILL_PROCESS);
#endif
    for (size_t i = 0; i < REFUSED; i++) {
        unsigned number = (unsigned)refused[i];
        code[n++] = (struct sock_filter)BPF_JUMP(BPF_JMP | BPF_JEQ | BPF_K, number, 0, 1);
        code[n++] = (struct sock_filter)BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ERRNO | EPERM);
    }
    n += refuse_signals(code + n);
    n += refuse_writing(code + n, SYS_openat, 2);
#ifdef __x86_64__
    n += refuse_writing(code + n, SYS_open, 1);
#endif
    code[n++] = (struct sock_filter)BPF_STMT(BPF_RET | BPF_K, SECCOMP_RET_ALLOW);
    struct sock_fprog program = {(unsigned short)n, code};
    return MACHINE && !prctl(PR_SET_NO_NEW_PRIVS, 1, 0, 0, 0) &&
           !prctl(PR_SET_SECCOMP, SECCOMP_MODE_FILTER, &program, 0, 0);
}

static void limit(int resource, size_t value)
{
    struct rlimit both = {value, value};
    setrlimit((__rlimit_resource_t)resource, &both);
}

bool reader_shut_in(const reader_limits *limits)
{
    if (ADDRESS_SPACE_LIMIT) limit(RLIMIT_AS, limits->memory);
    limit(RLIMIT_CPU, limits->seconds);
    limit(RLIMIT_NOFILE, 16);
    limit(RLIMIT_FSIZE, 0);
    limit(RLIMIT_CORE, 0);
    prctl(PR_SET_PDEATHSIG, 9, 0, 0, 0);
    return filter_calls();
}
