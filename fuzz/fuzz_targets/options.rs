#![no_main]
libfuzzer_sys::fuzz_target!(|data: &[u8]| wheeldraft_fuzz::targets::options(data));
