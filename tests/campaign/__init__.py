"""The long tests: crashes, torn writes, full disks, worn bits, copies under load, older gardens."""
