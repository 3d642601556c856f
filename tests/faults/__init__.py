"""Faults from outside: full disks, homes that are missing or read-only, interrupts, kills: nothing lost or half."""
